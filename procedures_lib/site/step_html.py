"""A step as HTML: number and title, what it needs, its hazards, its actions with their torques."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.site.html import (
    applies_html,
    element,
    facts_html,
    list_html,
    signal_html,
)
from procedures_lib.tables.hazards import hazard_named, hazards_of_step
from procedures_lib.tables.torque import stages_text
from procedures_lib.tables.uses import options_of
from procedures_lib.variants import ALWAYS
from procedures_lib.variants.region import Space

if TYPE_CHECKING:
    from procedures_lib.entities.work import Action
    from procedures_lib.manual import NumberedStep, Plan, Scope
    from procedures_lib.site.html import Anchors, Href

_TURNING = {
    "loosen": "undo clockwise",
    "remove": "undo clockwise",
    "start": "turn anticlockwise",
    "tighten": "turn anticlockwise",
}
"""Which way a left-hand thread turns."""
_OPENS = frozenset({"disconnect", "connect", "remove", "loosen", "start", "fit", "tag"})


def step_before(numbered: NumberedStep, plan: Plan, anchors: Anchors) -> str:
    """Return the opening of a step's section, up to its prose."""
    step, number = numbered.step, numbered.number
    link = element("a", str(number), class_="step-number", href=f"#step-{number}")
    title = element("h3", f"{link} {escape(step.title)}", class_="step-title")
    when = str(numbered.when)
    name = anchors.attribute(f"step:{step.id}") if step.id else ""
    alias = f"<span{name}></span>" if name else ""
    attributes = f' data-when="{escape(when)}"' if when else ""
    opening = (
        f'<section class="step"{anchors.attribute(f"step:{number}")} data-step="{number}"'
        f"{attributes}>"
    )
    applies = applies_html(when, "p")
    return f"{opening}{alias}{title}{applies}{_facts(numbered)}{_hazards(numbered, plan)}"


def step_after(numbered: NumberedStep, plan: Plan, href: Href, fold: str = "") -> str:
    """Return the end of a step's section: its actions, what is folded away, the closing tag."""
    actions = [_action_html(action, numbered, plan, href) for action in numbered.step.actions]
    return f"{list_html(actions, 'step-do')}{fold}</section>"


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
    objects = ", ".join(
        _object_html(str(name), action, scope, href) + _only(str(name), numbered, plan)
        for name in action.objects
    )
    tail = ""
    if action.on:
        parent = scope.get(action.on)
        tail = f" on {escape(name_of(parent, scope) if parent else action.on)}"
    return f"{element('span', escape(verb.capitalize()), class_='verb')} {objects}{tail}"


def _only(name: str, numbered: NumberedStep, plan: Plan) -> str:
    """Return the note that some of the step's cars do not have the thing."""
    when = getattr(plan.scope.get(name), "when", ALWAYS)
    if when == ALWAYS:
        return ""
    space = Space(options_of(plan))
    lacking = space.region(numbered.when) - space.region(when)
    return applies_html(str(when)) if lacking else ""


def _object_html(name: str, action: Action, scope: Scope, href: Href) -> str:
    entity = scope.get(name)
    if entity is None:
        return escape(humanised(name).lower())
    text = escape(name_of(entity, scope))
    count = getattr(entity, "count", 1)
    counted = f"{count} × " if isinstance(count, int) and count > 1 else ""
    verb = str(action.verb)
    address = href(f"fastener:{name}" if isinstance(entity, Fastener) and verb == "tighten" else
                   f"definition:{name}")  # fmt: skip
    linked = f"{counted}{element('a', text, href=address) if address else text}"
    if isinstance(entity, Fastener) and entity.turns == "left" and verb in _TURNING:
        linked += element("em", f" (left-hand thread: {_TURNING[verb]})", class_="left-hand")
    if isinstance(entity, Fastener) and verb == "tighten" and entity.tighten:
        shown = _stages(entity, action.stage)
        return f"{linked}: {element('strong', escape(shown), class_='torque')}"
    if isinstance(entity, Connection) and entity.note and verb in _OPENS:
        return f"{linked} ({escape(entity.note)})"
    return linked


def _stages(fastener: Fastener, stage: int) -> str:
    if 0 < stage <= len(fastener.tighten):
        return f"stage {stage}: {fastener.tighten[stage - 1].shown()}"
    return stages_text(fastener)
