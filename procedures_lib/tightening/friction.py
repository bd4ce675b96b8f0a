"""Coefficients of friction of threads and heads, by what is on them: always a range."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from procedures_lib.tightening.interval import Interval

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
    """The friction of threads in this condition; the widest range for one that is not known.

    Stainless steel rubs harder than plain or plated steel and has upper ends of its own
    (VDI 2230-1, Table A5).
    """
    table = friction_ranges()
    return table.get((condition, stainless), table[NOT_KNOWN, stainless])


@cache
def friction_ranges() -> dict[tuple[str, bool], Friction]:
    """All ranges, by condition and whether the bolt is of stainless steel."""
    text = files(__package__).joinpath("friction.csv").read_text(encoding="utf-8")
    found = {}
    for row in csv.DictReader(text.splitlines()):
        for stainless, of in ((False, ""), (True, "stainless_")):
            ends = Interval(float(row[f"{of}low"]), float(row[f"{of}high"]))
            found[row["condition"], stainless] = Friction(row["condition"], ends, row["source"])
    return found
