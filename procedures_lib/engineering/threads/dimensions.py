"""Dimensions of a thread: diameters, stress area, limits of size (ISO 724, 965-1, ASME B1.1)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from procedures_lib.engineering.threads.designation import INCH, Thread, is_listed

_HEIGHT = math.sqrt(3) / 2
"""Height of the sharp 60° triangle over one pitch, H / P (ISO 68-1)."""

_PITCH_DEPTH = _HEIGHT * 3 / 4
_INTERNAL_DEPTH = _HEIGHT * 5 / 4
_ROOT_DEPTH = {"metric": _HEIGHT * 17 / 12, "inch": _HEIGHT * 3 / 2}
"""How far the root diameter lies below the major one, in pitches.

Metric: d3 = d1 - H/6 (ISO 898-1, 9.1.6.1). Inch: D - 2 hb with hb = 0.649519 P (ASME B1.1, column
"section at minor diameter").
"""


@dataclass(frozen=True, slots=True)
class ThreadDimensions:
    """The basic dimensions of a thread, in mm and mm².

    ``pitch_diameter`` is d2, ``minor_diameter_internal`` D1, ``root_diameter`` d3 of the external
    thread. ``listed`` tells whether the standard's table has this size; others follow from the
    same formulas. ``source`` names the standards.
    """

    diameter: float
    pitch: float
    pitch_diameter: float
    minor_diameter_internal: float
    root_diameter: float
    stress_area: float
    listed: bool
    source: str


def dimensions(thread: Thread) -> ThreadDimensions:
    """The basic dimensions of a thread (mm, mm²).

    ISO 724 and ASME B1.1: d2 = d - 0.6495 P, D1 = d - 1.0825 P. Stress area: the circle over the
    mean of d2 and d3, which is d - 0.9382 P (ISO 898-1, 9.1.6.1) or d - 0.9743 P (ASME B1.1).
    """
    d, pitch = float(thread.diameter), float(thread.pitch)
    pitch_diameter = d - _PITCH_DEPTH * pitch
    root = d - _ROOT_DEPTH[thread.family] * pitch
    return ThreadDimensions(
        diameter=d,
        pitch=pitch,
        pitch_diameter=pitch_diameter,
        minor_diameter_internal=d - _INTERNAL_DEPTH * pitch,
        root_diameter=root,
        stress_area=math.pi / 4 * ((pitch_diameter + root) / 2) ** 2,
        listed=is_listed(thread),
        source=_SOURCES[thread.family],
    )


_SOURCES = {"metric": "ISO 724; ISO 898-1, 9.1.6.1", "inch": "ASME B1.1"}


_DIAMETER_STEPS = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0)
"""The ranges of diameter (mm) in ISO 965-1: each has one tolerance, for its geometric mean."""

_INCH_MM = float(INCH)


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """The loosest pair that the tolerances let pass, in mm.

    ``least_major`` and ``least_pitch`` are of the external thread, ``greatest_pitch`` and
    ``greatest_minor`` of the internal one.
    """

    least_major: float
    least_pitch: float
    greatest_pitch: float
    greatest_minor: float


def limits(thread: Thread) -> ThreadLimits:
    """The loosest ordinary pair, in mm.

    Tolerance 6g in 6H for metric threads (ISO 965-1), 2A in 2B for inch ones (ASME B1.1).
    """
    basic = dimensions(thread)
    return _metric(basic) if thread.family == "metric" else _inch(basic)


def _metric(basic: ThreadDimensions) -> ThreadLimits:
    """ISO 965-1: its formulas, in micrometres, without its rounding of the results."""
    pitch = basic.pitch
    allowance = 15 + 11 * pitch
    pitch_tolerance = 90 * pitch**0.4 * _mean_diameter(basic.diameter) ** 0.1
    major = 180 * math.cbrt(pitch) ** 2 - 3.15 / math.sqrt(pitch)
    minor = 433 * pitch - 190 * pitch**1.22 if pitch < 1 else 230 * pitch**0.7
    return ThreadLimits(
        least_major=basic.diameter - (allowance + major) / 1000,
        least_pitch=basic.pitch_diameter - (allowance + pitch_tolerance) / 1000,
        greatest_pitch=basic.pitch_diameter + 1.32 * pitch_tolerance / 1000,
        greatest_minor=basic.minor_diameter_internal + minor / 1000,
    )


def _mean_diameter(diameter: float) -> float:
    for low, high in pairwise(_DIAMETER_STEPS):
        if diameter <= high:
            return math.sqrt(low * high)
    return diameter


def _inch(basic: ThreadDimensions) -> ThreadLimits:
    """ASME B1.1: its formulas for class 2, in inches, for an engaged length of one diameter."""
    diameter, pitch = basic.diameter / _INCH_MM, basic.pitch / _INCH_MM
    power = math.cbrt(pitch) ** 2
    tolerance = 0.0015 * math.cbrt(diameter) + 0.0015 * math.sqrt(diameter) + 0.015 * power
    allowance = 0.3 * tolerance
    return ThreadLimits(
        least_major=basic.diameter - (allowance + 0.06 * power) * _INCH_MM,
        least_pitch=basic.pitch_diameter - (allowance + tolerance) * _INCH_MM,
        greatest_pitch=basic.pitch_diameter + 1.3 * tolerance * _INCH_MM,
        greatest_minor=basic.minor_diameter_internal + _minor_tolerance(diameter, pitch) * _INCH_MM,
    )


def _minor_tolerance(diameter: float, pitch: float) -> float:
    """The tolerance (in) of the minor diameter, class 2B."""
    least = 0.25 * pitch - 0.4 * pitch**2
    if diameter >= 0.25:
        return least
    small = 0.05 * math.cbrt(pitch) ** 2 + 0.03 * pitch / diameter - 0.002
    return min(max(small, least), 0.394 * pitch)
