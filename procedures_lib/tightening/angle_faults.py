"""What can be wrong with a joint's angles: more than the bolt can stretch, or next to nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.findings import Level
from procedures_lib.tightening.angle import bolt_stiffness, overturn, parts_stiffness
from procedures_lib.tightening.stage import StageKind
from procedures_lib.tightening.torque_faults import LEAST_SHARE
from procedures_lib.tightening.verdict import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.tightening.verdict import Basis, StageLoad

_ELONGATIONS = ((1200.0, 0.08), (1000.0, 0.09), (900.0, 0.10), (800.0, 0.12))
_SOFT_ELONGATION = 0.22
"""Elongation after fracture by tensile strength in MPa (ISO 898-1, Table 3; from memory)."""

_USABLE = 0.5
"""The share of it that a joint never asks for: common practice stays below 2 % in all."""


def angle_faults(basis: Basis, stages: tuple[StageLoad, ...]) -> Iterator[Fault]:
    """Find angles that would break the bolt, that do nothing, or that want a new one each time."""
    last = next((each for each in reversed(stages) if each.stage.kind is StageKind.ANGLE), None)
    if last is None:
        return
    turned = _turned(stages[: last.number])
    stretch = _stretch(turned, basis)
    if stretch > _USABLE * elongation(basis):
        yield _too_far(last, turned, stretch, basis)
    elif last.load.high < LEAST_SHARE * basis.proof_load:
        yield _too_little(last, basis)
    elif basis.joint.reuse is None and reaches_yield(basis, stages):
        yield _single_use(last, basis)


def reaches_yield(basis: Basis, stages: tuple[StageLoad, ...]) -> bool:
    """Whether the angles go past yield for certain: every bound, on a bolt of known grip.

    Certain is what would come to the tensile load, were the joint elastic: bolts are stronger than
    the least of their grade.
    """
    turns = [each for each in stages if each.stage.kind is StageKind.ANGLE]
    if not turns or basis.joint.grip is None:
        return False
    return turns[-1].load.low >= basis.tensile_load


def elongation(basis: Basis) -> float:
    """How far the bolt's steel stretches before it breaks, at least, as a share of its length."""
    for strength, share in _ELONGATIONS:
        if basis.strength.tensile_strength >= strength:
            return share
    return _SOFT_ELONGATION


def _turned(stages: tuple[StageLoad, ...]) -> float:
    """The degrees since the last stage that set a torque or loosened."""
    turned = 0.0
    for each in stages:
        is_turn = each.stage.kind is StageKind.ANGLE
        turned = turned + (each.stage.degrees or 0.0) if is_turn else 0.0
    return turned


def _stretch(turned: float, basis: Basis) -> float:
    """The least that the turn stretches the bolt for good, with the softest joint there may be."""
    bolt = bolt_stiffness(basis.thread, basis.grip).low
    parts = parts_stiffness(basis.bearing, basis.grip).low
    stiffness = bolt * parts / (bolt + parts)
    return overturn(turned, basis.thread, basis.tensile_load, stiffness, basis.grip.high)


def _too_far(last: StageLoad, turned: float, stretch: float, basis: Basis) -> Fault:
    grip = f"{basis.joint.grip:g} mm" if basis.joint.grip else f"even {basis.grip.high:g} mm"
    said = (
        f"{turned:g}° on {basis.joint.thread} {basis.strength.grade} over a grip of {grip} would"
        f" stretch the bolt for good by {100 * stretch:.0f} % or more; it breaks at"
        f" {100 * elongation(basis):.0f} %"
    )
    hint = "look at the angle, its unit (° or turn), the thread and the grip"
    return Fault("angle-implausible", Level.ERROR, said, hint, last.number)


def _too_little(last: StageLoad, basis: Basis) -> Fault:
    share = 100 * last.load.high / basis.proof_load
    said = (
        f"after {last.stage.written()} the joint has {share:.1g} % of its proof load at most:"
        " an angle is for joints that are tightened nearly to yield"
    )
    hint = "look at the angle, and at the torque before it"
    return Fault("angle-implausible", Level.WARNING, said, hint, last.number)


def _single_use(last: StageLoad, basis: Basis) -> Fault:
    said = (
        f"{last.stage.written()} takes {basis.joint.thread} {basis.strength.grade} past its yield"
        " point, and nothing says whether it may go in again"
    )
    hint = "write `reuse: false`, or `reuse: true` if the source allows it, and its limit in `note`"
    return Fault("reused-past-yield", Level.WARNING, said, hint, last.number)
