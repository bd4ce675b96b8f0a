"""The rows of the tables beside the modules, and the sizes that a row holds for."""

from __future__ import annotations

import csv
from fractions import Fraction
from functools import cache
from importlib.resources import files

INCH = Fraction(254, 10)
"""An inch in millimetres."""

PSI = 0.45359237 * 9.80665 / 0.0254**2 / 1e6
"""A pound-force per square inch in MPa (NIST SP 811, B.8)."""


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of a CSV file of this package."""
    text = files(__package__).joinpath(name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def within(diameter: Fraction, over: str, to: str) -> bool:
    """Whether a diameter is over the one limit and up to the other, where there are limits."""
    return not (over and diameter <= Fraction(over)) and not (to and diameter > Fraction(to))
