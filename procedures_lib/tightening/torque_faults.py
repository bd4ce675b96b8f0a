"""What can be wrong with a joint's torques: too much for the bolt or its hole, or too little."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.findings import Level
from procedures_lib.tightening.fault_words import bolt, kilonewtons, percent
from procedures_lib.tightening.stage import StageKind
from procedures_lib.tightening.stage_loads import torque_load
from procedures_lib.tightening.unit_slip import torque_hint
from procedures_lib.tightening.verdict import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.threads.engagement import StripLoad
    from procedures_lib.tightening.interval import Interval
    from procedures_lib.tightening.verdict import Basis, StageLoad

LEAST_SHARE = 0.1
"""Below this share of proof load a torque looks like a slip of unit."""

_ENDS_LOW = {StageKind.ANGLE, StageKind.BACK_OFF, StageKind.NEXT_SLOT, StageKind.DRAG}
_SOFT = ("plastic", "rubber", "wood", "nylon", "polyamide", "composite", "glass", "foam")


def torque_faults(
    basis: Basis, stages: tuple[StageLoad, ...], strip: StripLoad | None
) -> Iterator[Fault]:
    """Find torques beyond proof or far below it, and threads that strip."""
    over = next((each for each in stages if _is_over(each, basis)), None)
    if over is not None:
        yield _over(over, basis)
        return
    yield from _too_low(basis, stages)
    yield from _stripped(basis, stages, strip)


def _is_over(each: StageLoad, basis: Basis) -> bool:
    load = _load_of(each, basis)
    return load is not None and load.low > basis.proof_load


def _load_of(each: StageLoad, basis: Basis) -> Interval | None:
    """The load of a stage's own torque; None for a stage that sets none."""
    if each.stage.kind is StageKind.TORQUE:
        return each.load
    if each.stage.kind is StageKind.NEXT_SLOT and each.stage.amount is not None:
        return torque_load(each.stage.amount, basis)
    return None


def _over(each: StageLoad, basis: Basis) -> Fault:
    share = (_load_of(each, basis) or each.load) / basis.proof_load
    said = (
        f"{each.stage.written()} on {bolt(basis)} comes to {percent(share)} of its proof load"
        f" ({kilonewtons(basis.proof_load)}): above it at any friction"
    )
    hint = torque_hint(each.stage.amount, basis)
    return Fault("torque-implausible", Level.ERROR, said, hint, each.number)


def _too_low(basis: Basis, stages: tuple[StageLoad, ...]) -> Iterator[Fault]:
    """The last torque of a joint that is tightened by torque alone, into something firm."""
    torques = [each for each in stages if each.stage.kind is StageKind.TORQUE]
    if not torques or any(each.stage.kind in _ENDS_LOW for each in stages):
        return
    joint = basis.joint
    if joint.kind == "stud" or any(word in joint.material.lower() for word in _SOFT):
        return
    last = max(torques, key=lambda each: each.load.high)
    share = last.load / basis.proof_load
    if share.high < LEAST_SHARE:
        said = (
            f"{last.stage.written()} on {bolt(basis)} comes to {percent(share)} of its proof load"
            f" ({kilonewtons(basis.proof_load)}): less than a tenth at any friction"
        )
        yield Fault(
            "torque-implausible",
            Level.WARNING,
            said,
            torque_hint(last.stage.amount, basis),
            last.number,
        )


def _stripped(
    basis: Basis, stages: tuple[StageLoad, ...], strip: StripLoad | None
) -> Iterator[Fault]:
    worst = max(stages, key=lambda each: each.load.low, default=None)
    if strip is None or worst is None or basis.joint.engagement is None:
        return
    load = min(worst.load.low, basis.tensile_load)
    if load > strip.high:
        joint = basis.joint
        said = (
            f"{worst.stage.written()} on {bolt(basis)} pulls with {kilonewtons(load)} or more;"
            f" {joint.engagement:g} mm of thread in {joint.material} strip at"
            f" {kilonewtons(strip.high)} or less"
        )
        hint = "look at the engagement, the material, the unit and the thread"
        yield Fault("thread-strip", Level.ERROR, said, hint, worst.number)
