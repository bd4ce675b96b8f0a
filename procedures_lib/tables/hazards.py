"""Which hazards a procedure meets, and at which steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Hazard, Part
from procedures_lib.entities.work import Procedure
from procedures_lib.hazards import BUILTIN_HAZARDS, BuiltinHazard

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.work import Action
    from procedures_lib.manual import NumberedStep, Plan, Scope
    from procedures_lib.tables.uses import Uses

SIGNAL_RANKS = {"DANGER": 4, "WARNING": 3, "CAUTION": 2, "NOTICE": 1}
"""Rank of the signal words, ANSI Z535.4-2007, 4.14."""

_OPENING_VERBS = frozenset({"disconnect", "modify"})


@dataclass(frozen=True, slots=True)
class MetHazard:
    """A hazard with the steps that call for it; no steps when the procedure declares it."""

    hazard: BuiltinHazard | Hazard
    steps: tuple[NumberedStep, ...]


def hazard_named(name: str, scope: Scope) -> BuiltinHazard | Hazard | None:
    """Return the built-in or declared hazard with this id."""
    return scope.of(Hazard, name) or BUILTIN_HAZARDS.get(name)


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
    """Return the ids of the hazards that a step calls for or declares, each once."""
    names = dict.fromkeys(str(name) for name in step.step.hazards)
    for action in step.step.actions:
        names.update(dict.fromkeys(_called_by(action, plan.scope)))
    return list(names)


def _called_by(action: Action, scope: Scope) -> Iterator[str]:
    verb = str(action.verb)
    words = {verb}
    kinds: set[str] = set()
    for name in action.objects:
        entity = scope.get(str(name))
        words.add(str(name))
        if isinstance(entity, Connection) and verb in _OPENING_VERBS:
            words.add(entity.carries or "")
            ends = (scope.of(Part, str(end)) for end in entity.between)
            kinds.update(end.kind for end in ends if end)
    for hazard in BUILTIN_HAZARDS.values():
        if words & {*hazard.carries, *hazard.verbs} or kinds & set(hazard.part_kinds):
            yield hazard.id
    for declared in scope.all(Hazard):
        if words & set(map(str, declared.called_by)):
            yield declared.id
