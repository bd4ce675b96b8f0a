"""Dimensions of a thread: its diameters and its stress area (ISO 724, ISO 898-1, ASME B1.1)."""

from __future__ import annotations

import math
from dataclasses import dataclass

from procedures_lib.threads.designation import Thread, is_listed

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
