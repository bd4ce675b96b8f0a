"""Rounding of converted values: coarse enough to set on a tool, near enough to stay true.

A value is rounded to the coarsest of 1, 0.5, 0.1, 0.05, 0.01, … that moves it by no more than 2 %
(half of what a ±4 % torque wrench may be off); a tie goes to the even multiple (NIST SP 811,
B.7.1). The ends of a range are rounded inwards with one step for both (ASTM SI 10), so that the
rounded range never reaches outside the exact one. The arithmetic is exact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import count
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_MOVE = Fraction(2, 100)
"""The share of its value by which rounding may move a value."""


@dataclass(frozen=True, slots=True)
class Rounded:
    """A rounded value or range, ``low`` equal to ``high`` for a single value, and its step."""

    low: Fraction
    high: Fraction
    step: Fraction


def steps() -> Iterator[Fraction]:
    """Yield 1, 1/2, 1/10, 1/20, 1/100, … without end."""
    for power in count():
        yield Fraction(1, 10**power)
        yield Fraction(1, 2 * 10**power)


def round_value(exact: Fraction, most_move: Fraction | None = MOST_MOVE) -> Rounded:
    """Return a value rounded to the coarsest step that moves it by no more than ``most_move``.

    ``most_move`` is a share of the value; None rounds to whole numbers (temperatures, whose zero
    is arbitrary, so that a share of them means nothing).
    """
    for step in steps():
        rounded = round(exact / step) * step
        if most_move is None or abs(rounded - exact) <= most_move * abs(exact):
            return Rounded(rounded, rounded, step)
    raise AssertionError("the steps have no end")


def round_inwards(low: Fraction, high: Fraction, most_move: Fraction | None = MOST_MOVE) -> Rounded:
    """Return a range (low < high) with both ends rounded inwards on one step, still low < high.

    ``most_move`` as in ``round_value``; ValueError when ``low`` is not below ``high``.
    """
    if low >= high:
        raise ValueError(f"a range runs from low to high, not from {low} to {high}")
    for step in steps():
        inner_low, inner_high = math.ceil(low / step) * step, math.floor(high / step) * step
        near = most_move is None or (
            inner_low - low <= most_move * abs(low) and high - inner_high <= most_move * abs(high)
        )
        if near and inner_low < inner_high:
            return Rounded(inner_low, inner_high, step)
    raise AssertionError("the steps have no end")


def as_decimal(value: Fraction, step: Fraction) -> Decimal:
    """Return a multiple of ``step`` as a decimal with the digits that the step calls for."""
    decimals = 0
    while (step * 10**decimals).denominator != 1:
        decimals += 1
    return Decimal(int(value * 10**decimals)).scaleb(-decimals)
