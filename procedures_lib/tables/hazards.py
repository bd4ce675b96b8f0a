"""Which hazards a procedure meets, and at which steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Hazard
from procedures_lib.entities.work import Procedure
from procedures_lib.hazards import BUILTIN_HAZARDS, BuiltinHazard
from procedures_lib.manual.calling import called_by, closed_by
from procedures_lib.tables.uses import made_once

if TYPE_CHECKING:
    from procedures_lib.manual import NumberedStep, Plan, Scope
    from procedures_lib.tables.uses import Uses

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
