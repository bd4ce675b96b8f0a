"""Thread strip: what an engaged length of thread bears before it shears off (ISO/TR 16224)."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.threads.designation import Thread
from procedures_lib.threads.materials import hole_material
from procedures_lib.threads.shear import external_areas, internal_areas
from procedures_lib.threads.strength import Strength

RUN_IN = 0.8
"""Pitches of an engaged length that carry nothing: its ends (VDI 2230; from memory)."""

BENDING = (0.897, 1.055)
"""How the bending of its turns changes what an internal thread bears: C3 (ISO/TR 16224, 4.2.3)."""

BOLT_BENDING = (0.897, 1.187)
"""The same for the external thread: C2 (ISO/TR 16224, 4.2.3)."""

BOLT_SHEAR = 0.6
"""Shear strength of a steel bolt as a share of its tensile strength (ISO/TR 16224, 4.2.3)."""

OVER_STRENGTH = 1.28
"""How far a bolt may be above the least strength of its class: 320 to 250 HV, class 8.8
(ISO 898-1:2013, Table 3)."""


@dataclass(frozen=True, slots=True)
class StripLoad:
    """The axial load (N) at which the engaged threads shear off, between two bounds.

    Below ``low`` no sound thread strips; above ``high`` every one does. ``source`` says where the
    material's strength comes from.
    """

    low: float
    high: float
    source: str


def strip_load(
    thread: Thread, engagement: float, material: str, bolt: Strength | None = None
) -> StripLoad | None:
    """The load at which threads engaged over a length (mm) strip; None for an unknown material.

    The bounds take in the tolerances of the threads, the range of the material, the ends that carry
    nothing, and the bending of the turns. With ``bolt``, the bolt's own threads count too: the
    weaker of the two gives way. For a hole in a solid part: a nut or a thin boss also widens, and
    bears up to a quarter less (C1). Raises ValueError for a length that is not positive.
    """
    if engagement <= 0:
        raise ValueError(f"the engaged length is {engagement:g} mm, and must be more than 0")
    hole = hole_material(material)
    if hole is None:
        return None
    carrying = max(0.0, engagement - RUN_IN * float(thread.pitch))
    least, basic = internal_areas(thread)
    low = least * carrying * hole.shear_low * BENDING[0]
    high = basic * engagement * hole.shear_high * BENDING[1]
    if bolt is not None:
        least, basic = external_areas(thread)
        shear = BOLT_SHEAR * bolt.tensile_strength
        low = min(low, least * carrying * shear * BOLT_BENDING[0])
        high = min(high, basic * engagement * shear * OVER_STRENGTH * BOLT_BENDING[1])
    return StripLoad(low, high, hole.source)
