"""From torque to clamp load, after each stage of a joint too, and the stress in its bolt.

Long form (Motosh; VDI 2230-1, R13; ISO 16047):

    T = F (P / 2π + d2 μ_thread / (2 cos 30°) + D_bearing μ_bearing / 2)

The three terms are the pitch, which alone stretches the bolt, the friction in the thread, whose
flanks stand at 30°, and the friction under the head.

Von Mises: σ_red = √(σ² + 3 τ²), with σ = F / A_s and τ = M_thread / W_p. The cross-section is a
circle of d0 = (d2 + d3) / 2; W_p = π d0³ / 12 is that of a section which yields all over.
"""

from __future__ import annotations

import math

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.threads.dimensions import ThreadDimensions
from procedures_lib.engineering.tightening.angle import angle_loads
from procedures_lib.engineering.tightening.bounds import Interval, exactly, over
from procedures_lib.engineering.tightening.friction import Bearing
from procedures_lib.engineering.tightening.joint import OVER_LEAST, Basis, StageLoad
from procedures_lib.engineering.tightening.stage import IN_WORDS, LOOSENING, Stage, StageKind
from procedures_lib.engineering.tightening.stretch import stretch_loads

FLANK = math.cos(math.radians(30))


def thread_lever(thread: ThreadDimensions, friction: float) -> float:
    """The torque in the thread per clamp load, in N·mm/N: pitch and thread friction.

    ``friction`` is the coefficient in the thread, dimensionless. VDI 2230-1, R13: its first two
    terms.
    """
    return thread.pitch / (2 * math.pi) + thread.pitch_diameter * friction / (2 * FLANK)


def bearing_lever(mean_diameter: float, friction: float) -> float:
    """The torque under the head per clamp load, in N·mm/N; ``mean_diameter`` in mm.

    ``friction`` is the coefficient under the head, dimensionless. VDI 2230-1, R13: its last term.
    """
    return mean_diameter * friction / 2


def torque_lever(
    thread: ThreadDimensions, friction: float, mean_diameter: float, bearing_friction: float
) -> float:
    """The whole torque per clamp load, in N·mm/N; arguments as above. VDI 2230-1, R13."""
    return thread_lever(thread, friction) + bearing_lever(mean_diameter, bearing_friction)


def clamp_load(
    torque: float,
    thread: ThreadDimensions,
    friction: float,
    mean_diameter: float,
    bearing_friction: float | None = None,
) -> float:
    """The clamp load in N of a torque in N·m at one friction, the same in thread and bearing.

    ``mean_diameter`` (mm) is that of the ring under the head; ``bearing_friction`` sets the
    friction there apart from that of the thread (both dimensionless). VDI 2230-1, R13.
    """
    under_head = friction if bearing_friction is None else bearing_friction
    return 1000 * torque / torque_lever(thread, friction, mean_diameter, under_head)


def clamp_loads(
    torque: Interval, thread: ThreadDimensions, friction: Interval, bearing: Bearing
) -> Interval:
    """The bounds of the clamp load in N of a torque in N·m over a friction (VDI 2230-1, R13)."""

    def at(each_torque: float, each_friction: float, diameter: float) -> float:
        return clamp_load(each_torque, thread, each_friction, diameter)

    return over(at, torque, friction, bearing.mean_diameter)


def nut_factors(thread: ThreadDimensions, friction: Interval, bearing: Bearing) -> Interval:
    """The factor K (dimensionless) of T = K d F that the long form comes to (VDI 2230-1, R13)."""

    def at(each_friction: float, diameter: float) -> float:
        lever = torque_lever(thread, each_friction, diameter, each_friction)
        return lever / thread.diameter

    return over(at, friction, bearing.mean_diameter)


def short_clamp_load(torque: float, nut_factor: float, diameter: float) -> float:
    """The clamp load in N after the short form T = K d F; torque in N·m, diameter in mm.

    ``nut_factor`` is K, dimensionless (Shigley, 9th ed., Table 8-15, lists some).
    """
    return 1000 * torque / (nut_factor * diameter)


def combined_stress(load: float, thread: ThreadDimensions, friction: float) -> float:
    """The von Mises stress in MPa under a clamp load in N, while the wrench turns.

    ``friction`` is that of the thread, dimensionless. VDI 2230-1, as written above.
    """
    tension = load / thread.stress_area
    torsion = load * thread_lever(thread, friction) / _polar_section(thread)
    return math.sqrt(tension**2 + 3 * torsion**2)


def combined_stresses(
    torque: Interval, thread: ThreadDimensions, friction: Interval, bearing: Bearing
) -> Interval:
    """The bounds of the von Mises stress in MPa of a torque in N·m over a friction (VDI 2230-1)."""

    def at(each_torque: float, each_friction: float, diameter: float) -> float:
        load = clamp_load(each_torque, thread, each_friction, diameter)
        return combined_stress(load, thread, each_friction)

    return over(at, torque, friction, bearing.mean_diameter)


def load_at_stress(stress: float, thread: ThreadDimensions, friction: float) -> float:
    """The clamp load in N at which the combined stress reaches a stress in MPa.

    At 0.9 of the yield stress this is the assembly preload that VDI 2230-1 tabulates (Table A1).
    """
    return stress / combined_stress(1.0, thread, friction)


def _polar_section(thread: ThreadDimensions) -> float:
    middle = (thread.pitch_diameter + thread.root_diameter) / 2
    return math.pi * middle**3 / 12


HAND_TIGHT = 0.2
"""What a joint that is only snug may have at most, as a share of proof (common practice)."""


SLOT_TO_SLOT = 60.0
"""Degrees from one slot of a castle nut to the next: it has six (common practice, no source)."""


def loads_of(basis: Basis) -> tuple[StageLoad, ...]:
    """The clamp load in N after each stage in turn, as if nothing yielded (VDI 2230-1).

    By hand, a joint has no more than :data:`HAND_TIGHT` of its proof load.
    """
    load, found = exactly(0.0), []
    for number, stage in enumerate(basis.joint.stages, start=1):
        load = _after(stage, load, basis)
        found.append(StageLoad(number, stage, load, _stress(stage, basis)))
    return tuple(found)


def bounds_of(amount: Quantity, unit: str) -> Interval:
    """The bounds of a quantity in a unit, by its own tolerance or range, as its source gives it."""
    low, high = amount.exact(unit)
    return Interval(float(low), float(high))


def torque_load(amount: Quantity, basis: Basis) -> Interval:
    """The clamp load in N of a torque on this joint (VDI 2230-1, R13)."""
    torque = bounds_of(amount, "N·m")
    return clamp_loads(torque, basis.thread, basis.friction.range, basis.bearing)


def _after(stage: Stage, before: Interval, basis: Basis) -> Interval:
    if stage.kind in {StageKind.HAND, StageKind.SNUG}:
        return Interval(0.0, max(before.high, HAND_TIGHT * basis.proof_load))
    if stage.kind in LOOSENING:
        return Interval(0.0, before.high if stage.amount is not None else 0.0)
    if stage.kind in IN_WORDS:
        return Interval(0.0, OVER_LEAST * basis.tensile_load)
    return before if stage.amount is None else _after_amount(stage, stage.amount, before, basis)


def _after_amount(stage: Stage, amount: Quantity, before: Interval, basis: Basis) -> Interval:
    match stage.kind:
        case StageKind.TORQUE:
            return torque_load(amount, basis)
        case StageKind.TORQUE_OR_SLOT:
            turned = angle_loads(exactly(SLOT_TO_SLOT), basis.thread, basis.bearing, basis.grip)
            reached = torque_load(amount, basis)
            return Interval(reached.low, reached.high + turned.high)
        case StageKind.ANGLE:
            turn = bounds_of(amount, "°")
            return before + angle_loads(turn, basis.thread, basis.bearing, basis.grip)
        case StageKind.STRETCH:
            return stretch_loads(bounds_of(amount, "mm"), basis.thread, basis.grip)
        case StageKind.NEXT_SLOT:
            return Interval(before.low, max(before.high, torque_load(amount, basis).high))
        case _:
            return before


def _stress(stage: Stage, basis: Basis) -> Interval | None:
    if stage.kind is not StageKind.TORQUE or stage.amount is None:
        return None
    torque = bounds_of(stage.amount, "N·m")
    return combined_stresses(torque, basis.thread, basis.friction.range, basis.bearing)
