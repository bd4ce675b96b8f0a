"""Limits of size of ordinary threads: 6g in 6H (ISO 965-1), 2A in 2B (ASME B1.1)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from procedures_lib.threads.designation import Thread
from procedures_lib.threads.dimensions import ThreadDimensions, dimensions
from procedures_lib.threads.rows import INCH

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
    """The loosest ordinary pair: tolerance 6g in 6H for metric threads, 2A in 2B for inch ones."""
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
