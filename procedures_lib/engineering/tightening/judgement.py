"""Judges a joint: do its torques and angles go with its thread, its grade and what it is in?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.quantities.units import factor_between
from procedures_lib.engineering.threads.dimensions import dimensions
from procedures_lib.engineering.threads.thread_strip import StripLoad, strip_load
from procedures_lib.engineering.tightening.angle import (
    bolt_stiffness,
    grip_range,
    overturn,
    parts_stiffness,
)
from procedures_lib.engineering.tightening.bounds import Interval, exactly
from procedures_lib.engineering.tightening.clamp_load import (
    clamp_loads,
    loads_of,
    nut_factors,
    torque_load,
)
from procedures_lib.engineering.tightening.friction import bearing_of, friction_for
from procedures_lib.engineering.tightening.joint import (
    JUDGED_KINDS,
    Basis,
    Fault,
    Joint,
    StageLoad,
    Verdict,
    is_stainless,
    strength_of,
)
from procedures_lib.engineering.tightening.stage import IN_WORDS, StageKind
from procedures_lib.engineering.tightening.stretch import elongation_at, lasting_stretch
from procedures_lib.engineering.tightening.verdict_words import kilonewtons, percent
from procedures_lib.findings import Level


@lru_cache(maxsize=4096)
def judge(joint: Joint) -> Verdict | None:
    """Judge a joint; None when its kind is not judged, or nothing is known of its strength.

    Verdicts are kept, as like joints come on many pages. Raises GradeError when the grade does not
    exist, or not for this thread.
    """
    basis = basis_of(joint)
    if basis is None:
        return None
    stages = loads_of(basis)
    strip = _strip(basis)
    faults = (
        *torque_faults(basis, stages, strip),
        *angle_faults(basis, stages),
        *stretch_faults(basis, stages),
    )
    return Verdict(
        basis,
        nut_factors(basis.thread, basis.friction.range, basis.bearing),
        stages,
        _final(basis, stages),
        reaches_yield(basis, stages),
        strip,
        faults,
    )


def basis_of(joint: Joint) -> Basis | None:
    """What the judgement stands on; None when the joint can't be judged. Raises GradeError."""
    found = strength_of(joint) if joint.kind in JUDGED_KINDS else None
    if found is None:
        return None
    thread = dimensions(joint.thread)
    return Basis(
        joint,
        thread,
        found,
        friction_for(joint.condition, stainless=is_stainless(joint.grade)),
        bearing_of(joint.head, thread.diameter),
        grip_range(joint.grip, thread.diameter),
    )


def _strip(basis: Basis) -> StripLoad | None:
    joint = basis.joint
    if joint.engagement is None or joint.engagement <= 0:
        return None
    return strip_load(joint.thread, joint.engagement, joint.material, basis.strength)


def _final(basis: Basis, stages: tuple[StageLoad, ...]) -> Interval | None:
    """The clamp load after the last stage, no more than a bolt of this grade can bear."""
    if not any(stage.stage.amount for stage in stages) or stages[-1].stage.kind in IN_WORDS:
        return None
    return basis.borne(stages[-1].load, basis.thread.stress_area)


_UNITS = ("N·m", "lbf·ft", "lbf·in")
_USUAL = Interval(0.2, 1.0)
"""Geometric middle of the clamp load's bounds on a usual joint, as a share of proof; common
practice."""


def torque_hint(amount: Quantity | None, basis: Basis) -> str:
    """What to look at; the unit first, where the same number in another would be usual."""
    rest = f"the thread ({basis.joint.thread}) and the class ({basis.strength.grade})"
    if amount is None:
        return f"look at {rest}"
    likely = [unit for unit in _UNITS if unit != amount.unit and _usual(amount, unit, basis)]
    if likely:
        units = " or ".join(f"{float(amount.nominal):g} {unit}" for unit in likely)
        return f"look at the unit ({units} would be usual), then at {rest}"
    return f"look at the number, its unit, {rest}"


def _usual(amount: Quantity, unit: str, basis: Basis) -> bool:
    torque = exactly(float(amount.nominal) * factor_between(unit, "N·m"))
    load = clamp_loads(torque, basis.thread, basis.friction.range, basis.bearing)
    return math.sqrt(load.low * load.high) / basis.proof_load in _USUAL


LEAST_SHARE = 0.1
"""Below this share of proof load a torque looks like a slip of unit."""

_ENDS_LOW = frozenset(StageKind) - {StageKind.HAND, StageKind.SNUG, StageKind.TORQUE}
"""Kinds of stage beside which a torque may be small."""

_SOFT = ("plastic", "rubber", "wood", "nylon", "polyamide", "composite", "glass", "foam")


def torque_faults(
    basis: Basis, stages: tuple[StageLoad, ...], strip: StripLoad | None
) -> Iterator[Fault]:
    """Find torques beyond proof or far below it, and threads that strip."""
    for each in stages:
        load = _load_of(each, basis)
        if load is not None and load.low > basis.proof_load:
            yield _implausible(each, load, Level.ERROR, "above it at any friction", basis)
            return
    yield from _too_low(basis, stages)
    yield from _stripped(basis, stages, strip)


def _load_of(each: StageLoad, basis: Basis) -> Interval | None:
    """The load of a stage's own torque; None for a stage that sets none."""
    if each.stage.kind is StageKind.TORQUE:
        return each.load
    slot = each.stage.kind in {StageKind.NEXT_SLOT, StageKind.TORQUE_OR_SLOT}
    if slot and each.stage.amount is not None:
        return torque_load(each.stage.amount, basis)
    return None


def _implausible(each: StageLoad, load: Interval, level: Level, why: str, basis: Basis) -> Fault:
    said = (
        f"{each.stage.written()} on {basis.bolt} comes to {percent(load / basis.proof_load)} of its"
        f" proof load ({kilonewtons(basis.proof_load)}): {why}"
    )
    hint = torque_hint(each.stage.amount, basis)
    return Fault("torque-implausible", level, said, hint, each.number)


def _too_low(basis: Basis, stages: tuple[StageLoad, ...]) -> Iterator[Fault]:
    """The last torque of a joint that is tightened by torque alone, into something firm."""
    torques = [each for each in stages if each.stage.kind is StageKind.TORQUE]
    if not torques or any(each.stage.kind in _ENDS_LOW for each in stages):
        return
    joint = basis.joint
    if joint.kind == "stud" or any(word in joint.material.lower() for word in _SOFT):
        return
    last = max(torques, key=lambda each: each.load.high)
    if (last.load / basis.proof_load).high < LEAST_SHARE:
        why = "less than a tenth at any friction"
        yield _implausible(last, last.load, Level.WARNING, why, basis)


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
            f"{worst.stage.written()} on {basis.bolt} pulls with {kilonewtons(load)} or more;"
            f" {joint.engagement:g} mm of thread in {joint.material} strip at"
            f" {kilonewtons(strip.high)} or less"
        )
        hint = "look at the engagement, the material, the unit and the thread"
        yield Fault("thread-strip", Level.ERROR, said, hint, worst.number)


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
        f"{turned:g}° on {basis.bolt} over a grip of {grip} would stretch the bolt for good by"
        f" {100 * stretch:.0f} % or more; it breaks at {100 * elongation(basis):.0f} %"
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
        f"{last.stage.written()} takes {basis.bolt} past its yield point, and nothing says whether"
        " it may go in again"
    )
    hint = "write `reuse: false`, or `reuse: true` if the source allows it, and its limit in `note`"
    return Fault("reused-past-yield", Level.WARNING, said, hint, last.number)


def stretch_faults(basis: Basis, stages: tuple[StageLoad, ...]) -> Iterator[Fault]:
    """Find stretches that would leave a bolt longer for good, or that do next to nothing.

    Silent without the grip: a bolt's stretch is a share of its length.
    """
    for each in stages:
        amount, grip = each.stage.amount, basis.joint.grip
        if each.stage.kind is not StageKind.STRETCH or amount is None or not grip:
            continue
        least = float(amount.exact("mm")[0])
        lasting = lasting_stretch(least, basis.thread, basis.tensile_load, grip)
        if lasting > _USABLE * elongation(basis):
            why = (
                f"{100 * lasting:.0f} % or more stay; it breaks at {100 * elongation(basis):.0f} %"
            )
            yield _stretched(each, basis, Level.ERROR, why)
        elif lasting > 0:
            why = "past its yield point: a stretch is measured on a bolt that springs back"
            yield _stretched(each, basis, Level.WARNING, why)
        elif each.load.high < LEAST_SHARE * basis.proof_load:
            share = f"{100 * each.load.high / basis.proof_load:.1g} %"
            yield _stretched(each, basis, Level.WARNING, f"{share} of its proof load at most")


def _stretched(each: StageLoad, basis: Basis, level: Level, why: str) -> Fault:
    thread, grip = basis.thread, basis.joint.grip or 0.0
    at_proof = elongation_at(basis.proof_load, grip, thread.stress_area)
    said = f"{each.stage.written()} on {basis.bolt} over a grip of {grip:g} mm: {why}"
    hint = (
        f"look at the length, its unit and the grip; {grip:g} mm of this thread stretch by"
        f" {at_proof:.2g} mm at proof load"
    )
    return Fault("stretch-implausible", level, said, hint, each.number)
