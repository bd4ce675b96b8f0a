"""The readings that a procedure asks for: each stage of each joint, at the step that does it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener
from procedures_lib.manual.names import name_of
from procedures_lib.tightening import StageKind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import NumberedStep, Plan
    from procedures_lib.tightening import Stage
    from procedures_lib.variants import Condition

_READ = frozenset({StageKind.TORQUE, StageKind.ANGLE, StageKind.NEXT_SLOT, StageKind.DRAG})
"""Stages with something to read: not those by hand, and not backing off."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One reading: ``stage`` of ``joint``, counted from 1, for the whole group of fasteners.

    ``when`` are the cars on which the joint is tightened in this step. With an adapter the
    wrench does not show the joint's torque.
    """

    step: int
    joint: str
    name: str
    count: int
    stage: int
    what: Stage
    when: Condition
    has_adapter: bool = False

    @property
    def key(self) -> tuple[int, str, int]:
        """What tells it from the other readings of a procedure."""
        return self.step, self.joint, self.stage

    @property
    def is_angle(self) -> bool:
        """Whether degrees are read, and not a torque."""
        return self.what.kind is StageKind.ANGLE


def asked(plan: Plan) -> tuple[Asked, ...]:
    """Return all readings of a procedure, in the order of its steps, each once."""
    return tuple(each for numbered in plan.steps for each in asked_at(numbered, plan))


def asked_at(numbered: NumberedStep, plan: Plan) -> tuple[Asked, ...]:
    """Return the readings of one step, each once."""
    found = {each.key: each for each in reversed(list(_of_step(numbered, plan)))}
    return tuple(reversed(found.values()))


def _of_step(numbered: NumberedStep, plan: Plan) -> Iterator[Asked]:
    for action in numbered.step.actions:
        if str(action.verb) != "tighten":
            continue
        for name in action.objects:
            fastener = plan.scope.of(Fastener, str(name))
            if fastener is not None:
                yield from _of_joint(fastener, action.stage, numbered, plan)


def _of_joint(fastener: Fastener, only: int, numbered: NumberedStep, plan: Plan) -> Iterator[Asked]:
    name = name_of(fastener, plan.scope)
    when = numbered.when & fastener.when
    for n, stage in enumerate(fastener.tighten, start=1):
        if stage.kind in _READ and only in (0, n):
            adapted = fastener.adapter is not None
            yield Asked(numbered.number, fastener.id, name, fastener.count, n, stage, when, adapted)
