"""Judges a joint: do its torques and angles go with its thread, its grade and what it is in?

A fault is found only when the whole range of friction, heads, grips and strengths agrees on it.
What may be right is let pass.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from procedures_lib.threads.dimensions import dimensions
from procedures_lib.threads.engagement import strip_load
from procedures_lib.tightening.angle import grip_range
from procedures_lib.tightening.angle_faults import angle_faults, reaches_yield
from procedures_lib.tightening.bearing import bearing_of
from procedures_lib.tightening.clamp_load import nut_factors
from procedures_lib.tightening.friction import friction_for
from procedures_lib.tightening.joint import JUDGED_KINDS, is_stainless, strength_of
from procedures_lib.tightening.stage_loads import loads_of
from procedures_lib.tightening.torque_faults import torque_faults
from procedures_lib.tightening.verdict import Basis, Verdict

if TYPE_CHECKING:
    from procedures_lib.threads.engagement import StripLoad
    from procedures_lib.tightening.interval import Interval
    from procedures_lib.tightening.joint import Joint
    from procedures_lib.tightening.verdict import StageLoad


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
