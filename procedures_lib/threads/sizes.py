"""The sizes that ISO 261 and ASME B1.1 list: diameters with their pitches, by series."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

from procedures_lib.threads.rows import rows

PITCHES = tuple(
    Fraction(pitch)
    for pitch in ("6", "4", "3", "2", "1.5", "1.25", "1", "0.75", "0.5", "0.35", "0.25", "0.2")
)
"""The pitches (mm) of fine threads in ISO 261, coarsest first."""


@cache
def coarse_pitches() -> dict[Fraction, Fraction]:
    """The coarse pitch (mm) of each metric diameter (mm), ISO 261."""
    return {
        Fraction(row["diameter_mm"]): Fraction(row["pitch_mm"])
        for row in rows("metric_sizes.csv")
        if row["series"] == "coarse"
    }


@cache
def metric_pitches(diameter: Fraction) -> tuple[Fraction, ...]:
    """The pitches (mm) that ISO 261 lists for a diameter (mm), coarsest first."""
    return tuple(
        Fraction(row["pitch_mm"])
        for row in rows("metric_sizes.csv")
        if Fraction(row["diameter_mm"]) == diameter
    )


@cache
def numbered_sizes() -> dict[int, Fraction]:
    """The diameter (in) of each numbered size, ASME B1.1."""
    return {int(row["number"]): Fraction(row["diameter_in"]) for row in rows("numbered_sizes.csv")}


@cache
def inch_sizes(diameter: Fraction) -> tuple[tuple[str, Fraction], ...]:
    """The series that have a diameter (in), each with its threads per inch (ASME B1.1)."""
    return tuple(
        (row["series"], Fraction(row["threads_per_inch"]))
        for row in rows("inch_sizes.csv")
        if read_inches(row["diameter_in"]) == diameter
    )


def series_turns(series: str, diameter: Fraction) -> tuple[Fraction, ...]:
    """The threads per inch of a series for a diameter (in); () when the series has no such size."""
    return tuple(turns for name, turns in inch_sizes(diameter) if name == series)


def read_inches(text: str) -> Fraction:
    """A diameter as the table writes it: ``#10``, ``1/4``, ``1 1/8``."""
    if text.startswith("#"):
        return numbered_sizes()[int(text[1:])]
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def in_inches(size: Fraction) -> str:
    """A diameter (in) as it is written: ``#10``, ``1/4``, ``1 1/8``."""
    for number, diameter in numbered_sizes().items():
        if diameter == size:
            return f"#{number}"
    whole, rest = divmod(size, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)
