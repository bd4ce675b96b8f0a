"""A step as HTML, with its hazards, actions and torques, and what is open after it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from procedures_lib.engineering.quantities import NO_BREAK_SPACE
from procedures_lib.fronts.site.head_html import readings_attribute, readings_by_joint
from procedures_lib.fronts.site.html import (
    Anchors,
    Href,
    applies_html,
    element,
    facts_html,
    signal_html,
)
from procedures_lib.fronts.site.nodes import amount_html, stage_amounts
from procedures_lib.fronts.site.rebuild import Shown
from procedures_lib.judging.records import Asked
from procedures_lib.language.entities.car import Connection, Fastener, Opening
from procedures_lib.language.entities.content import references
from procedures_lib.language.entities.work import Action
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Space
from procedures_lib.manual import NumberedStep, Plan, Scope
from procedures_lib.manual.scope import humanised, name_of
from procedures_lib.view.step import OPENS, TURNING, hazard_named, hazards_of_step, stages_said
from procedures_lib.view.uses import options_of
from procedures_lib.view.visit import way_lines
from procedures_lib.walk.open_items import OpenItem, open_items
from procedures_lib.walk.walk import Walk
from procedures_lib.walk.way_back import Way


def step_before(
    numbered: NumberedStep, plan: Plan, anchors: Anchors, more: str = "", level: int = 3
) -> str:
    """Return the opening of a step's section, up to its prose.

    ``more`` are further attributes, ``level`` is that of its heading.
    """
    step, number = numbered.step, numbered.number
    link = element("a", str(number), class_="step-number", href=f"#step-{number}")
    title = element(f"h{level}", f"{link} {escape(step.title)}", class_="step-title")
    when = str(numbered.when)
    name = anchors.attribute(f"step:{step.id}") if step.id else ""
    alias = f"<span{name}></span>" if name else ""
    attributes = f' data-when="{escape(when)}"' if when else ""
    opening = (
        f'<section class="step"{anchors.attribute(f"step:{number}")} data-step="{number}"'
        f"{attributes}{more}>"
    )
    applies = applies_html(when, "p")
    return f"{opening}{alias}{title}{applies}{_facts(numbered)}{_hazards(numbered, plan)}"


def step_after(numbered: NumberedStep, plan: Plan, href: Href, fold: str = "") -> str:
    """Return the end of a step's section: its actions, what is folded away, the closing tag."""
    asked = readings_by_joint(numbered, plan)
    actions = "".join(
        f"<li{_asked(action, asked)}>{_action_html(action, numbered, plan, href)}</li>"
        for action in numbered.step.actions
    )
    listed = element("ul", actions, class_="step-do") if actions else ""
    return f"{listed}{fold}</section>"


def _asked(action: Action, asked: dict[str, list[Asked]]) -> str:
    """The readings that an action asks for; each is asked for once in a step."""
    if action.verb != "tighten":
        return ""
    wanted = [
        each
        for name in action.objects
        for each in asked.get(str(name), ())
        if action.stage in (0, each.stage)
    ]
    return readings_attribute(wanted)


def _facts(numbered: NumberedStep) -> str:
    step = numbered.step
    facts = [
        ("Time", step.time.canonical() if step.time else ""),
        ("People", str(step.people) if step.people > 1 else ""),
        ("Tools", ", ".join(step.tools)),
        ("Supplies", ", ".join(step.supplies)),
    ]
    return facts_html(((label, text) for label, text in facts if text), "step-facts")


def _hazards(numbered: NumberedStep, plan: Plan) -> str:
    """The hazards that the step calls for and that its own signal words do not show already."""
    shown = {signal.hazard for signal in numbered.step.signals}
    found = [hazard_named(n, plan.scope) for n in hazards_of_step(numbered, plan) if n not in shown]
    return "".join(signal_html(h.signal, h.name, [h.avoid]) for h in found if h)


def _action_html(action: Action, numbered: NumberedStep, plan: Plan, href: Href) -> str:
    verb, scope = str(action.verb), plan.scope
    objects = _apart(
        (_object_html(str(name), action, scope, href), _only(str(name), numbered, plan))
        for name in action.objects
    )
    tail = ""
    if action.on:
        parent = scope.get(action.on)
        tail = f" on {escape(name_of(parent, scope) if parent else action.on)}"
    return f"{element('span', escape(verb.capitalize()), class_='verb')} {objects}{tail}"


def _apart(objects: Iterable[tuple[str, str]]) -> str:
    """Return the objects of an action with commas between them.

    Where one is not on all of the step's cars, each stands in an element of its own, so that the
    page can leave it out for a car.
    """
    listed = list(objects)
    if not any(when for _, when in listed):
        return ", ".join(html for html, _ in listed)
    return element("span", ", ", class_="comma").join(
        element("span", html + applies_html(when), class_="object", data_when=when)
        for html, when in listed
    )


def _only(name: str, numbered: NumberedStep, plan: Plan) -> str:
    """Return on which cars the thing is, "" when on all of the step's."""
    when = getattr(plan.scope.get(name), "when", ALWAYS)
    if when == ALWAYS:
        return ""
    space = Space(options_of(plan))
    lacking = space.region(numbered.when) - space.region(when)
    return str(when) if lacking else ""


def _object_html(name: str, action: Action, scope: Scope, href: Href) -> str:
    entity = scope.get(name)
    if entity is None:
        return escape(humanised(name).lower())
    text = escape(name_of(entity, scope))
    count = getattr(entity, "count", 1)
    counted = f"{count}{NO_BREAK_SPACE}× " if isinstance(count, int) and count > 1 else ""
    verb = str(action.verb)
    address = href(f"fastener:{name}" if isinstance(entity, Fastener) and verb == "tighten" else
                   f"definition:{name}")  # fmt: skip
    linked = f"{counted}{element('a', text, href=address) if address else text}"
    if isinstance(entity, Fastener) and entity.turns == "left" and verb in TURNING:
        linked += element("em", f" (left-hand thread: {TURNING[verb]})", class_="left-hand")
    if isinstance(entity, Fastener) and verb == "tighten" and entity.tighten:
        shown = escape(stages_said(entity, action.stage))
        amounts = stage_amounts(entity.tighten, action.stage)
        return f"{linked}: {amount_html(shown, amounts, 'strong')}"
    if isinstance(entity, Connection) and entity.note and verb in OPENS:
        return f"{linked} ({escape(entity.note)})"
    return linked


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
