"""Shear areas of engaged threads (FED-STD-H28/2B, Table II.B.1; ISO/TR 16224, 4.2.3)."""

from __future__ import annotations

import math

from procedures_lib.threads.designation import Thread
from procedures_lib.threads.dimensions import dimensions
from procedures_lib.threads.tolerances import limits


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
    """The least and the basic area (mm² for each mm engaged) of the internal thread."""
    basic, loose = dimensions(thread), limits(thread)
    return (
        internal_shear_area(basic.pitch, loose.least_major, loose.greatest_pitch),
        internal_shear_area(basic.pitch, basic.diameter, basic.pitch_diameter),
    )


def external_areas(thread: Thread) -> tuple[float, float]:
    """The least and the basic area (mm² for each mm engaged) of the external thread."""
    basic, loose = dimensions(thread), limits(thread)
    return (
        external_shear_area(basic.pitch, loose.greatest_minor, loose.least_pitch),
        external_shear_area(basic.pitch, basic.minor_diameter_internal, basic.pitch_diameter),
    )
