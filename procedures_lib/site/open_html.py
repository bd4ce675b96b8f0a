"""What is open after a step, as HTML: for a hand-over, or for stopping overnight."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Opening
from procedures_lib.entities.references import references
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.site.html import applies_html, element
from procedures_lib.variants import ALWAYS
from procedures_lib.walk.open_items import open_items
from procedures_lib.walk.way_words import way_lines

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from procedures_lib.manual import Plan, Scope
    from procedures_lib.site.html import Href
    from procedures_lib.site.shown import Shown
    from procedures_lib.variants import Condition
    from procedures_lib.walk.open_items import OpenItem
    from procedures_lib.walk.walk import Walk
    from procedures_lib.walk.ways import Way


def open_after(walked: Walk, step: int, when: Condition = ALWAYS) -> list[OpenItem]:
    """Return what is open after a step, on any of the cars that the procedure is for."""
    cars = walked.run.all & walked.run.car.space.region(when)
    return open_items(walked.after(step), cars)


Made = dict["OpenItem", str]
"""The HTML of each item of a page: most are open after many steps."""


def open_list_html(
    items: Sequence[OpenItem], scope: Scope, href: Href, made: Made | None = None
) -> str:
    """Return open items as a list: what, how, since which step, on which cars."""
    made = {} if made is None else made
    for item in items:
        if item not in made:
            made[item] = element("li", _item(item, scope, href), data_when=item.variants)
    listed = "".join(made[item] for item in items)
    return element("ul", listed, class_="open-items") if listed else ""


def open_fold_html(
    items: list[OpenItem], scope: Scope, href: Href, made: Made | None = None
) -> str:
    """Return open items folded away under their number, "" when there are none."""
    if not items:
        return ""
    summary = element("summary", f"Open after this step: {len(items)}")
    listed = open_list_html(items, scope, href, made)
    return element("details", summary + listed, class_="fold open-after")


def way_html(ways: Iterable[Way], step: int, plan: Plan) -> str:
    """Return the ways back from a step, each for its cars, folded away."""
    parts = []
    for each in ways:
        lines = way_lines(each.way, plan) or ["The car can leave as it stands."]
        cars = element("p", f"Only: {escape(each.variants)}") if each.variants else ""
        parts.append(cars + element("ol", "".join(element("li", escape(line)) for line in lines)))
    summary = element("summary", f"If you must stop for good after step {step}")
    return element("details", summary + "".join(parts), class_="fold")


def note_related(plan: Plan, shown: Shown) -> None:
    """Note as shown all that the walk of a plan can tell of.

    That is what its steps name, what these hold or stand behind, and so on, and every opening.
    """
    shown.note_kind(Opening.KIND)
    seen: set[str] = set()
    waiting = [
        str(name) for n in plan.steps for action in n.step.actions for name in action.objects
    ]
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        shown.note_place(name)
        entity = plan.scope.get(name)
        if entity is not None:
            waiting += [str(each.target) for each in references(entity)]


def _item(item: OpenItem, scope: Scope, href: Href) -> str:
    entity = scope.get(item.thing)
    name = escape(name_of(entity, scope) if entity else humanised(item.thing))
    address = href(f"definition:{item.thing}") if entity else ""
    linked = element("a", name, href=address) if address else name
    since = f" (step {element('a', str(item.step), href=href(f'step:{item.step}'))})"
    return f"{linked}: {escape(item.how)}{since if item.step else ''}{applies_html(item.variants)}"
