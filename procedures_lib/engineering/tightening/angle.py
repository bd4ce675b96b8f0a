"""From angle to clamp load: pitch, and the stiffness of bolt and clamped parts.

A turn by θ draws bolt and parts together by θ / 360° × P. As two springs in a row they answer with

    F = θ / 360° × P × k_bolt k_parts / (k_bolt + k_parts)
"""

from __future__ import annotations

import math

from procedures_lib.engineering.threads.dimensions import ThreadDimensions
from procedures_lib.engineering.tightening.bounds import Interval, over
from procedures_lib.engineering.tightening.friction import Bearing

STEEL = 205_000.0
"""Young's modulus of bolts in MPa (VDI 2230-1, Table A8: 205 000 for steel)."""

ALUMINIUM = 70_000.0
"""Young's modulus of aluminium in MPa, the softest metal that a joint usually clamps."""

HEAD, ENGAGED, IN_NUT = 0.5, 0.5, 0.4
"""Lengths that yield with the bolt beyond its grip, in diameters (VDI 2230-1, 5.1.1)."""

SHORTEST_GRIP, LONGEST_GRIP = 0.4, 20.0
"""The grip in diameters when the page does not give it; common practice, no source."""


def grip_range(grip: float | None, diameter: float) -> Interval:
    """The clamped length in mm: as given, or all that joints have (common practice, no source).

    ``diameter`` is the thread's, in mm.
    """
    if grip is not None and grip > 0:
        return Interval(grip, grip)
    return Interval(SHORTEST_GRIP, LONGEST_GRIP) * diameter


def angle_load(degrees: float, pitch: float, bolt: float, parts: float) -> float:
    """The clamp load in N of an elastic turn; pitch in mm, stiffness in N/mm.

    Two springs in a row, by definition of pitch and stiffness.
    """
    return degrees / 360 * pitch * bolt * parts / (bolt + parts)


def angle_for(load: float, pitch: float, bolt: float, parts: float) -> float:
    """The angle in degrees of an elastic turn that brings a clamp load in N.

    Pitch in mm, stiffness of bolt and parts in N/mm: by definition, as :func:`angle_load`.
    """
    return load * 360 / pitch * (bolt + parts) / (bolt * parts)


def frustum_stiffness(
    grip: float, diameter: float, modulus: float, bearing: float | None = None
) -> float:
    """The stiffness in N/mm of clamped parts: two cones of 30° from head and nut.

    Shigley, Mechanical Engineering Design, 9th ed., Eq. 8-20 and 8-22: ``bearing`` is the diameter
    under the head, 1.5 d when it is not given. Lengths in mm, modulus in MPa.
    """
    slope = math.tan(math.radians(30))
    head = 1.5 * diameter if bearing is None else bearing
    reach = slope * grip
    upper = (reach + head - diameter) * (head + diameter)
    lower = (reach + head + diameter) * (head - diameter)
    return slope * math.pi * modulus * diameter / (2 * math.log(upper / lower))


def rod_stiffness(length: float, area: float, modulus: float = STEEL) -> float:
    """The stiffness in N/mm of a rod; length in mm, area in mm², modulus in MPa (Hooke's law)."""
    return modulus * area / length


def bolt_stiffness(thread: ThreadDimensions, grip: Interval) -> Interval:
    """The bounds of a bolt's stiffness in N/mm over a range of grip in mm.

    Stiffest: a full shank as long as the grip. Softest: thread from end to end, with head, engaged
    thread and nut yielding as VDI 2230-1, 5.1.1 has them.
    """
    d, shank = thread.diameter, math.pi / 4 * thread.diameter**2
    core = math.pi / 4 * thread.root_diameter**2
    softest = grip.high / core + ENGAGED * d / core + (HEAD + IN_NUT) * d / shank
    return Interval(STEEL / softest, rod_stiffness(grip.low, shank))


def parts_stiffness(bearing: Bearing, grip: Interval) -> Interval:
    """The bounds of the clamped parts' stiffness in N/mm.

    Softest: aluminium, half as stiff as Shigley's cones. Stiffest: steel, twice as stiff as they:
    real parts are never two full cones (common practice, no source).
    """
    hole = bearing.hole
    narrow, wide = max(bearing.outer.low, hole * 1.05), max(bearing.outer.high, hole * 1.3)
    softest = frustum_stiffness(grip.high, hole, ALUMINIUM, narrow) / 2
    return Interval(softest, 2 * frustum_stiffness(grip.low, hole, STEEL, wide))


def angle_loads(
    degrees: Interval, thread: ThreadDimensions, bearing: Bearing, grip: Interval
) -> Interval:
    """The bounds of the clamp load in N that an elastic turn in degrees adds; grip in mm.

    From the stiffness of bolt (VDI 2230-1, 5.1.1) and parts (Shigley, Eq. 8-20).
    """

    def at(each: float, bolt: float, parts: float) -> float:
        return angle_load(each, thread.pitch, bolt, parts)

    bolt, parts = bolt_stiffness(thread, grip), parts_stiffness(bearing, grip)
    return over(at, degrees, bolt, parts)


def overturn(
    degrees: float, thread: ThreadDimensions, yield_load: float, stiffness: float, grip: float
) -> float:
    """How much of its length a bolt is stretched for good by a turn, at least; 0 to 1.

    What the turn (degrees) draws in beyond the yield load (N) of the joint's stiffness (N/mm)
    stays. It spreads over the grip (mm) and one diameter of head and engaged thread (VDI 2230-1,
    5.1.1, has half of one for each).
    """
    drawn = degrees / 360 * thread.pitch - yield_load / stiffness
    return max(drawn, 0.0) / (grip + thread.diameter)
