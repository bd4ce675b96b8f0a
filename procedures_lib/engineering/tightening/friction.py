"""Friction of threads and heads, by what is on them, and the ring on which a head or nut turns."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.quantities import quantity_of
from procedures_lib.engineering.tightening.bounds import Interval

NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Friction:
    """The range of the coefficient of friction, in the thread and under the head alike.

    ``condition`` is what is on the threads, ``source`` where the range comes from.
    """

    condition: str
    range: Interval
    source: str


def friction_for(condition: str, *, stainless: bool = False) -> Friction:
    """The friction (dimensionless) of threads in a condition; the widest for one not known.

    Stainless steel rubs harder than plain or plated steel and has upper ends of its own
    (VDI 2230-1, Table A5).
    """
    table = friction_ranges()
    return table.get((condition, stainless), table[NOT_KNOWN, stainless])


@cache
def friction_ranges() -> dict[tuple[str, bool], Friction]:
    """All ranges (dimensionless), by condition and whether the bolt is of stainless steel."""
    found = {}
    for row in csv_rows(__package__, "friction.csv"):
        for stainless, of in ((False, ""), (True, "stainless_")):
            ends = Interval(float(row[f"{of}low"]), float(row[f"{of}high"]))
            found[row["condition"], stainless] = Friction(row["condition"], ends, row["source"])
    return found


_HEX = re.compile(r"(?:hex|square)\s+(.+)$", re.IGNORECASE)
_FLATS_LOW, _OF_THREAD_LOW = 0.86, 1.2
_UNKNOWN = Interval(1.35, 2.4)
_FLANGED = Interval(1.7, 2.4)
_COUNTERSUNK = Interval(1.35, 3.0)
"""Outer diameters of heads as multiples of the thread's diameter.

A plain hexagon bears on 0.86 to 1 of its width across flats (ISO 4014: dw of M5 to M16). A flange
may stand under any of them and reaches to 2.4 d (DIN 6921: 11.8 mm at M5 to 34.5 mm at M16, from
memory). Socket heads have 1.5 d (ISO 4762). A countersunk head rubs on a cone, which counts as a
larger ring. Common practice where no standard is named.
"""


@dataclass(frozen=True, slots=True)
class Bearing:
    """The ring under a head, in mm: its outer diameter between bounds, and the hole in it."""

    outer: Interval
    hole: float

    @property
    def mean_diameter(self) -> Interval:
        """The diameter at which the friction acts, (dw + dh) / 2 (VDI 2230-1, D_Km)."""
        return Interval((self.outer.low + self.hole) / 2, (self.outer.high + self.hole) / 2)


def bearing_of(head: str, diameter: float) -> Bearing:
    """The ring under a head such as ``hex 10 mm`` on a thread of this diameter (mm).

    A head whose name does not tell its ring (``torx T30``, ``12-point 12 mm``, "") has wide bounds.
    """
    hole = medium_hole(diameter)
    outer = _outer(head.strip().lower(), diameter)
    return Bearing(Interval(max(outer.low, hole), max(outer.high, hole * 1.1)), hole)


def medium_hole(diameter: float) -> float:
    """The clearance hole (mm) for a thread of this diameter (mm): ISO 273, medium.

    Between and beyond the sizes listed, a tenth more than the thread.
    """
    return clearance_holes().get(round(diameter, 3), diameter * 1.1)


@cache
def clearance_holes() -> dict[float, float]:
    """The medium hole of each listed diameter, in mm (ISO 273)."""
    rows = csv_rows(__package__, "clearance_holes.csv")
    return {float(row["diameter_mm"]): float(row["medium_hole_mm"]) for row in rows}


def _outer(head: str, diameter: float) -> Interval:
    if "countersunk" in head or "flat head" in head:
        return _COUNTERSUNK * diameter
    if "flange" in head:
        return _FLANGED * diameter
    flats = _across_flats(head)
    if flats is None or not diameter <= flats <= 4 * diameter:
        return _UNKNOWN * diameter
    low = max(_FLATS_LOW * flats, _OF_THREAD_LOW * diameter)
    return Interval(low, max(low, flats, _UNKNOWN.high * diameter))


def _across_flats(head: str) -> float | None:
    """The width across flats in mm of ``hex 10 mm``; None when the head's name has none."""
    match = _HEX.match(head)
    size = quantity_of(match[1], "length") if match else None
    return float(size.exact_nominal("mm")) if size else None
