"""Judges a joint: do its torques and angles go with its thread, its grade and what it is in?"""

from __future__ import annotations

from functools import lru_cache

from procedures_lib.engineering.threads.dimensions import dimensions
from procedures_lib.engineering.threads.thread_strip import StripLoad, strip_load
from procedures_lib.engineering.tightening.angle import grip_range
from procedures_lib.engineering.tightening.bounds import Interval
from procedures_lib.engineering.tightening.clamp_load import loads_of, nut_factors
from procedures_lib.engineering.tightening.friction import bearing_of, friction_for
from procedures_lib.engineering.tightening.joint import (
    JUDGED_KINDS,
    Basis,
    Joint,
    StageLoad,
    Verdict,
    is_stainless,
    strength_of,
)
from procedures_lib.engineering.tightening.joint_faults import (
    angle_faults,
    reaches_yield,
    torque_faults,
)


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
    faults = (*torque_faults(basis, stages, strip), *angle_faults(basis, stages))
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
    if not any(stage.stage.amount for stage in stages):
        return None
    return basis.borne(stages[-1].load, basis.thread.stress_area)
