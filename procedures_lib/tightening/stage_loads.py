"""The clamp load after each stage of a joint, between two bounds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.tightening.angle import angle_loads
from procedures_lib.tightening.bolt_stress import combined_stresses
from procedures_lib.tightening.clamp_load import clamp_loads
from procedures_lib.tightening.interval import Interval, exactly
from procedures_lib.tightening.stage import StageKind
from procedures_lib.tightening.verdict import StageLoad

if TYPE_CHECKING:
    from procedures_lib.quantities import Quantity
    from procedures_lib.tightening.stage import Stage
    from procedures_lib.tightening.verdict import Basis

HAND_TIGHT = 0.2
"""What a joint that is only snug may have at most, as a share of proof (common practice)."""


def loads_of(basis: Basis) -> tuple[StageLoad, ...]:
    """The load of each stage in turn, worked out as if nothing yielded."""
    load, found = exactly(0.0), []
    for number, stage in enumerate(basis.joint.stages, start=1):
        load = _after(stage, load, basis)
        found.append(StageLoad(number, stage, load, _stress(stage, basis)))
    return tuple(found)


def bounds_of(amount: Quantity, unit: str) -> Interval:
    """The bounds of a quantity in a unit: its tolerance or range."""
    low, high = amount.exact(unit)
    return Interval(float(low), float(high))


def torque_load(amount: Quantity, basis: Basis) -> Interval:
    """The clamp load in N of a torque on this joint."""
    torque = bounds_of(amount, "N·m")
    return clamp_loads(torque, basis.thread, basis.friction.range, basis.bearing)


def _after(stage: Stage, before: Interval, basis: Basis) -> Interval:
    amount = stage.amount
    match stage.kind:
        case StageKind.HAND | StageKind.SNUG:
            return Interval(0.0, max(before.high, HAND_TIGHT * basis.proof_load))
        case StageKind.TORQUE if amount is not None:
            return torque_load(amount, basis)
        case StageKind.ANGLE if amount is not None:
            turn = bounds_of(amount, "°")
            return before + angle_loads(turn, basis.thread, basis.bearing, basis.grip)
        case StageKind.BACK_OFF:
            return Interval(0.0, before.high if amount is not None else 0.0)
        case StageKind.NEXT_SLOT if amount is not None:
            return Interval(before.low, max(before.high, torque_load(amount, basis).high))
        case _:
            return before


def _stress(stage: Stage, basis: Basis) -> Interval | None:
    if stage.kind is not StageKind.TORQUE or stage.amount is None:
        return None
    torque = bounds_of(stage.amount, "N·m")
    return combined_stresses(torque, basis.thread, basis.friction.range, basis.bearing)
