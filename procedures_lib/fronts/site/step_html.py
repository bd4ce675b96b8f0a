"""A step as HTML, with its hazards, actions and torques, and what is open after it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from procedures_lib.engineering.quantities import NO_BREAK_SPACE
from procedures_lib.fronts.site.head_html import Readings, readings_attribute
from procedures_lib.fronts.site.html import (
    Anchors,
    Href,
    applies_html,
    by_car,
    element,
    facts_html,
    fold_html,
    signal_html,
)
from procedures_lib.fronts.site.nodes import amount_html, stage_amounts
from procedures_lib.fronts.site.rebuild import Shown
from procedures_lib.fronts.site.stage_html import stages_html
from procedures_lib.fronts.tables.procedure_tables import way_lines
from procedures_lib.fronts.tables.words import (
    action_stages,
    note_text,
    on_text,
    step_facts,
    turning_text,
)
from procedures_lib.language.entities.car import Fastener, Opening
from procedures_lib.language.entities.entity import references
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Options, Space
from procedures_lib.manual import Plan, Scope
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.manual.shop import Shop
from procedures_lib.view.step import ActionView, StepView, Thing
from procedures_lib.walk.open_items import OpenItem, open_items
from procedures_lib.walk.walk import Walk
from procedures_lib.walk.way_back import Way


def step_before(view: StepView, anchors: Anchors, more: str = "", level: int = 3) -> str:
    """Return the opening of a step's section, up to its prose.

    ``more`` are further attributes, ``level`` is that of its heading.
    """
    step, number = view.step, view.number
    link = element("a", str(number), class_="step-number", href=f"#step-{number}")
    title = element(f"h{level}", f"{link} {escape(step.title)}", class_="step-title")
    when = str(view.when)
    name = anchors.attribute(f"step:{step.id}") if step.id else ""
    alias = f"<span{name}></span>" if name else ""
    attributes = f' data-when="{escape(when)}"' if when else ""
    sums = f' data-seconds="{step.time.si:g}"' if step.time is not None else ""
    sums += f' data-people="{step.people}"' if step.people > 1 else ""
    opening = (
        f'<section class="step"{anchors.attribute(f"step:{number}")} data-step="{number}"'
        f"{attributes}{more}{sums}>"
    )
    facts = facts_html(step_facts(view), "step-facts")
    hazards = "".join(
        signal_html(each.signal, each.name, [each.avoid], when=str(each.cars))
        for each in view.called
    )
    return f"{opening}{alias}{title}{applies_html(when, 'p')}{facts}{hazards}"


def step_after(
    view: StepView,
    options: Options,
    asked: Readings,
    href: Href,
    fold: str = "",
    shop: Shop | None = None,
) -> str:
    """Return the end of a step's section: its actions, what is folded away, the closing tag.

    ``asked`` are the readings that the step asks for, by joint; ``options`` those of the car. With
    a ``shop``, each stage of a joint stands there with its tools, for the step's own screen.
    """
    actions = ""
    for action in view.actions:
        things = _apart(
            (_thing_html(thing, action, href), _only(thing, view, options))
            for thing in action.things
        )
        verb = element("span", escape(action.verb.capitalize()), class_="verb")
        tail = f" on {escape(on_text(action))}" if action.on else ""
        tail += _stages(action, view, options, shop) if shop else ""
        actions += f"<li{_asked(action, asked)}>{verb} {things}{tail}</li>"
    listed = element("ul", actions, class_="step-do") if actions else ""
    return f"{listed}{fold}</section>"


def _stages(action: ActionView, view: StepView, options: Options, shop: Shop) -> str:
    named = len(action.things) > 1
    return "".join(
        stages_html(action, thing, shop, _only(thing, view, options), named=named)
        for thing in action.things
    )


def _asked(action: ActionView, asked: Readings) -> str:
    """The readings that an action asks for; each is asked for once in a step."""
    if action.verb != "tighten":
        return ""
    wanted = [
        each
        for joint in dict.fromkeys(thing.id for thing in action.things)
        for each in asked.get(joint, ())
        if action.stage in (0, each.stage)
    ]
    return readings_attribute(wanted)


def _only(thing: Thing, view: StepView, options: Options) -> str:
    """Return on which cars a thing is, "" when on all of the step's."""
    if thing.when == ALWAYS:
        return ""
    space = Space(options)
    return str(thing.when) if space.region(view.when) - space.region(thing.when) else ""


def _apart(objects: Iterable[tuple[str, str]]) -> str:
    """Return the objects of an action with commas between them.

    Where one is not on all of the step's cars, each stands in an element of its own, so that the
    page can leave it out for a car.
    """
    listed = list(objects)
    if not any(when for _, when in listed):
        return ", ".join(html for html, _ in listed)
    between = element("span", ", ", class_="comma")
    return between.join(by_car(html, when) for html, when in listed)


def _thing_html(thing: Thing, action: ActionView, href: Href) -> str:
    if thing.entity is None:
        return escape(thing.name)
    text, counted = escape(thing.name), ""
    if thing.count is not None and thing.count > 1:
        counted = f"{thing.count}{NO_BREAK_SPACE}× "
    tight = isinstance(thing.entity, Fastener) and action.verb == "tighten"
    address = href(f"{'fastener' if tight else 'definition'}:{thing.id}")
    linked = f"{counted}{element('a', text, href=address) if address else text}"
    if turned := turning_text(action, thing):
        linked += element("em", f" ({turned})", class_="left-hand")
    if shown := action_stages(action, thing):
        stages = thing.entity.tighten if isinstance(thing.entity, Fastener) else ()
        amounts = stage_amounts(stages, action.stage)
        return f"{linked}: {amount_html(escape(shown), amounts, 'strong')}"
    note = note_text(action, thing)
    return f"{linked} ({escape(note)})" if note else linked


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
    listed = open_list_html(items, scope, href, made)
    return fold_html(f"Open after this step: {len(items)}", listed, "fold open-after")


def way_html(ways: Iterable[Way], step: int, plan: Plan) -> str:
    """Return the ways back from a step, each for its cars, folded away."""
    parts = []
    for each in ways:
        lines = way_lines(each.way, plan) or ["The car can leave as it stands."]
        cars = element("p", f"Only: {escape(each.variants)}") if each.variants else ""
        parts.append(cars + element("ol", "".join(element("li", escape(line)) for line in lines)))
    return fold_html(f"If you must stop for good after step {step}", "".join(parts))


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
