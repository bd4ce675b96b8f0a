"""Thread strip: what an engaged length of thread bears before it shears off, in which material."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.threads.bolt_grades import Strength
from procedures_lib.engineering.threads.designation import Thread
from procedures_lib.engineering.threads.dimensions import dimensions, limits


@dataclass(frozen=True, slots=True)
class HoleMaterial:
    """A material by its everyday name, and its shear strength in MPa between two bounds.

    The name on a page says neither alloy nor temper, so the bounds are wide. ``source`` says where
    they come from.
    """

    name: str
    shear_low: float
    shear_high: float
    source: str


def hole_material(name: str) -> HoleMaterial | None:
    """The material of this name (``aluminium``, ``cast iron``), with its strength in MPa.

    None for one not in the table ``hole_materials.csv``, which has a source for each.
    """
    return _materials().get(" ".join(name.lower().split()))


@cache
def _materials() -> dict[str, HoleMaterial]:
    found = {}
    for row in csv_rows(__package__, "hole_materials.csv"):
        material = HoleMaterial(
            row["material"],
            float(row["shear_low_MPa"]),
            float(row["shear_high_MPa"]),
            row["source"],
        )
        for spelling in (row["material"], *filter(None, row["spellings"].split("; "))):
            found[spelling] = material
    return found


def internal_shear_area(pitch: float, major: float, pitch_diameter: float) -> float:
    """The area (mm²) on which an internal thread shears, for each mm engaged.

    ``major`` is the external thread's major diameter, ``pitch_diameter`` the internal one's, all in
    mm. FED-STD-H28/2B, formula 2a: the cylinder at the tips of the external thread.
    """
    return math.pi * major / pitch * (pitch / 2 + (major - pitch_diameter) / math.sqrt(3))


def external_shear_area(pitch: float, minor: float, pitch_diameter: float) -> float:
    """The area (mm²) on which an external thread shears, for each mm engaged.

    ``minor`` is the internal thread's minor diameter, ``pitch_diameter`` the external one's, all in
    mm. FED-STD-H28/2B, formula 4a: the cylinder at the tips of the internal thread.
    """
    return math.pi * minor / pitch * (pitch / 2 + (pitch_diameter - minor) / math.sqrt(3))


def internal_areas(thread: Thread) -> tuple[float, float]:
    """The least and the basic area (mm² for each mm engaged) of the internal thread.

    FED-STD-H28/2B, formula 2a, at the limits of ISO 965-1 or ASME B1.1, and at basic size.
    """
    basic, loose = dimensions(thread), limits(thread)
    return (
        internal_shear_area(basic.pitch, loose.least_major, loose.greatest_pitch),
        internal_shear_area(basic.pitch, basic.diameter, basic.pitch_diameter),
    )


def external_areas(thread: Thread) -> tuple[float, float]:
    """The least and the basic area (mm² for each mm engaged) of the external thread.

    FED-STD-H28/2B, formula 4a, at the limits of ISO 965-1 or ASME B1.1, and at basic size.
    """
    basic, loose = dimensions(thread), limits(thread)
    return (
        external_shear_area(basic.pitch, loose.greatest_minor, loose.least_pitch),
        external_shear_area(basic.pitch, basic.minor_diameter_internal, basic.pitch_diameter),
    )


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
    """The load in N at which threads engaged over a length (mm) strip; None for unknown materials.

    The bounds take in the tolerances of the threads, the range of the material, the ends that carry
    nothing, and the bending of the turns (ISO/TR 16224). With ``bolt``, the bolt's own threads
    count too: the weaker of the two gives way. For a hole in a solid part: a nut or a thin boss
    also widens, and bears up to a quarter less (C1). ValueError for a length that is not positive.
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
