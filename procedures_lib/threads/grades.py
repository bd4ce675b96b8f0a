"""The grades of bolts and screws as the standards list them, with the sizes they are made in."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from procedures_lib.threads.designation import Thread
from procedures_lib.threads.rows import INCH, PSI, rows, within


class GradeError(ValueError):
    """A grade that does not exist, or not for this thread; ``hint`` says what to write."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


@dataclass(frozen=True, slots=True)
class Grade:
    """One row of a standard's table: a grade over a range of sizes.

    ``over`` and ``to`` bound the diameter in mm ("" where the standard sets no bound). ``proof``,
    ``yielding`` and ``tensile`` are the least stresses in MPa.
    """

    standard: str
    name: str
    over: str
    to: str
    proof: float
    yielding: float
    tensile: float
    source: str

    def holds_for(self, thread: Thread) -> bool:
        """Whether the standard has this row for the thread's diameter."""
        return within(thread.diameter, self.over, self.to)


@cache
def grades() -> dict[str, tuple[Grade, ...]]:
    """Every grade by its name, with a row for each range of sizes."""
    table: dict[str, tuple[Grade, ...]] = {}
    for grade in (*_property_classes(), *_inch_grades(), *_stainless()):
        table[grade.name] = (*table.get(grade.name, ()), grade)
    return table


def nearest(name: str, names: list[str]) -> str:
    """The name most like the one written, or ""."""
    return next(iter(difflib.get_close_matches(name, names, 1, 0.5)), "")


def _property_classes() -> Iterator[Grade]:
    for row in rows("iso_898_1.csv"):
        yield Grade(
            "ISO 898-1",
            row["grade"],
            row["over_mm"],
            row["to_mm"],
            float(row["proof_MPa"]),
            float(row["yield_MPa"]),
            float(row["tensile_MPa"]),
            row["source"],
        )


def _inch_grades() -> Iterator[Grade]:
    for row in rows("sae_j429.csv"):
        yield Grade(
            "SAE J429",
            row["grade"],
            _millimetres(row["over_in"]),
            _millimetres(row["to_in"]),
            float(row["proof_psi"]) * PSI,
            float(row["yield_psi"]) * PSI,
            float(row["tensile_psi"]) * PSI,
            row["source"],
        )


def _stainless() -> Iterator[Grade]:
    for row in rows("iso_3506_1.csv"):
        proof, tensile = float(row["proof_MPa"]), float(row["tensile_MPa"])
        for steel in row["steels"].split():
            name = f"{steel}-{row['class']}"
            yield Grade("ISO 3506-1", name, "", "", proof, proof, tensile, row["source"])


def _millimetres(inches: str) -> str:
    return str(Fraction(inches) * INCH) if inches else ""
