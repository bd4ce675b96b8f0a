"""A step: its actions in words, its hazards, its prose in plain words."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.engineering.quantities import QuantityError, read_quantity, with_conversion
from procedures_lib.language.entities.base import Entity
from procedures_lib.language.entities.builtin_hazards import BUILTIN_HAZARDS, BuiltinHazard
from procedures_lib.language.entities.car import Connection, Fastener, Hazard, Part
from procedures_lib.language.entities.work import Action, Procedure
from procedures_lib.language.reading.inline_text import Paragraph, Words, paragraphs, shown_text
from procedures_lib.language.variants import ALWAYS
from procedures_lib.manual import NumberedStep, Plan, Scope
from procedures_lib.manual.scope import begun, called_by, closed_by, humanised, name_of, small
from procedures_lib.view.joint import stages_text
from procedures_lib.view.uses import Cars, Uses, made_once

SIGNAL_RANKS = {"DANGER": 4, "WARNING": 3, "CAUTION": 2, "NOTICE": 1}
"""Rank of the signal words, ANSI Z535.4-2007, 4.14."""


@dataclass(frozen=True, slots=True)
class MetHazard:
    """A hazard with the steps that call for it; no steps when the procedure declares it."""

    hazard: BuiltinHazard | Hazard
    steps: tuple[NumberedStep, ...]


def hazard_named(name: str, scope: Scope) -> BuiltinHazard | Hazard | None:
    """Return the built-in or declared hazard with this id."""
    return scope.of(Hazard, name) or BUILTIN_HAZARDS.get(name)


@made_once
def hazards_met(uses: Uses) -> tuple[MetHazard, ...]:
    """Return the hazards of the steps that apply, gravest signal word first."""
    plan = uses.plan
    steps: dict[str, list[NumberedStep]] = {}
    if isinstance(plan.head, Procedure):
        steps.update({str(name): [] for name in plan.head.hazards})
    for step in uses.steps:
        for name in hazards_of_step(step, plan):
            steps.setdefault(name, []).append(step)
    found = []
    for name, at in steps.items():
        hazard = hazard_named(name, plan.scope)
        if hazard is not None:
            found.append(MetHazard(hazard, tuple(at)))
    return tuple(sorted(found, key=lambda met: -SIGNAL_RANKS[met.hazard.signal]))


def hazards_of_step(step: NumberedStep, plan: Plan) -> list[str]:
    """Return the ids of the hazards of a step, each once.

    They are those that it declares, those that it calls for, and those that the procedure meets
    and this step makes safe, makes live again or tests.
    """
    known = plan.hazards_by_step
    if step.number not in known:
        known[step.number] = _hazards_of(step, plan)
    return known[step.number]


def _hazards_of(step: NumberedStep, plan: Plan) -> list[str]:
    names = dict.fromkeys(str(name) for name in step.step.hazards)
    for action in step.step.actions:
        names.update(dict.fromkeys(called_by(action, plan.scope)))
        names.update(dict.fromkeys(closed_by(action, plan.scope, plan.hazards_called)))
    return list(names)


OTHER_CARS = "(not on this car)"
"""What stands for the torque of a fastener that none of the cars asked about has."""

_KINDS: dict[str, type[Entity]] = {"fastener": Fastener, "part": Part, "connection": Connection}
NAMING = frozenset({*_KINDS, "tool", "step"})
"""The roles that say a name, which has a capital where it begins a sentence."""


def prose(body: str, uses: Uses) -> tuple[str, ...]:
    """Return the paragraphs of a text as plain words; blocks inside it are left out.

    A torque of a fastener that the cars of ``uses`` do not have is not said.
    """
    texts = (_said(paragraph, uses).strip() for paragraph in paragraphs(body))
    return tuple(text for text in texts if text)


def _said(paragraph: Paragraph, uses: Uses) -> str:
    said = ""
    for words in paragraph:
        said += _words(words, uses, said) if words.role else words.text
    return said


def _words(words: Words, uses: Uses, before: str) -> str:
    target = words.text
    if words.role in NAMING:
        return begun(_called(target, words.role, uses), before)
    if words.role == "torque":
        return _torque(target, uses)
    return _quantity(target) if words.role == "q" else shown_text(target)


def _called(target: str, role: str, uses: Uses) -> str:
    if role == "step":
        number = uses.plan.step_number(target)
        return f"step {number}" if number else target
    return target if role == "tool" else _name(target, role, uses)


def _torque(target: str, uses: Uses) -> str:
    fastener = uses.plan.scope.of(Fastener, target)
    if fastener is None:
        return target
    return stages_text(fastener) if uses.applies(fastener.when) else OTHER_CARS


def _name(target: str, kind: str, uses: Uses) -> str:
    entity = uses.plan.scope.of(_KINDS[kind], target)
    return small(name_of(entity, uses.plan.scope) if entity else humanised(target))


def _quantity(target: str) -> str:
    try:
        return with_conversion(read_quantity(target, signed=True))
    except QuantityError:
        return target


TURNING = {
    "loosen": "undo clockwise",
    "remove": "undo clockwise",
    "start": "turn anticlockwise",
    "tighten": "turn anticlockwise",
}
"""Which way a left-hand thread turns."""

OPENS = frozenset({"disconnect", "connect", "remove", "loosen", "start", "fit", "tag"})
"""The verbs at which the note of a connection is told."""


@dataclass(frozen=True, slots=True)
class Doing:
    """One object of an action, in words.

    ``name`` has its count and what must be known of it; ``torque`` its stages, where it is
    tightened; ``only`` for which of the step's cars it is ("" for all); ``id`` is what it is.
    """

    verb: str
    id: str
    name: str
    torque: str = ""
    only: str = ""

    @property
    def text(self) -> str:
        """All of it in one line."""
        torque = f": {self.torque}" if self.torque else ""
        only = f" (only: {self.only})" if self.only else ""
        return f"{self.verb} {self.name}{torque}{only}"


def doings(numbered: NumberedStep, uses: Uses, cars: Cars) -> tuple[Doing, ...]:
    """Return what a step does, thing by thing, without what none of the cars asked about has."""
    found = []
    for action in numbered.step.actions:
        for name in map(str, action.objects):
            when = getattr(uses.plan.scope.get(name), "when", ALWAYS)
            if uses.applies(when & numbered.when):
                only = cars.only(when, numbered.when)
                found.append(_doing(action, name, only, uses))
    return tuple(found)


def _doing(action: Action, name: str, only: str, uses: Uses) -> Doing:
    verb, scope = str(action.verb), uses.plan.scope
    entity = scope.get(name)
    text = name_of(entity, scope) if entity else humanised(name).lower()
    count = getattr(entity, "count", 1)
    if isinstance(count, int) and count > 1:
        text = f"{count} × {text}"
    torque = ""
    if isinstance(entity, Fastener):
        if entity.turns == "left" and verb in TURNING:
            text += f" (left-hand thread: {TURNING[verb]})"
        torque = stages_said(entity, action.stage) if verb == "tighten" else ""
    if isinstance(entity, Connection) and entity.note and verb in OPENS:
        text += f" ({entity.note})"
    if action.on:
        parent = scope.get(action.on)
        text += f" on {name_of(parent, scope) if parent else action.on}"
    return Doing(verb.capitalize(), name, text, torque, only)


def stages_said(fastener: Fastener, stage: int) -> str:
    """The stages of a joint in one line, or the one named: "stage 2: 25 N·m (18 lbf·ft)"."""
    if 0 < stage <= len(fastener.tighten):
        return f"stage {stage}: {fastener.tighten[stage - 1].shown()}"
    return stages_text(fastener)
