"""Converted values, and the text that shows a quantity with its conversion."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from procedures_lib.quantities.quantity import Quantity, with_symbol
from procedures_lib.quantities.rounding import (
    MOST_MOVE,
    Rounded,
    as_decimal,
    round_inwards,
    round_value,
)
from procedures_lib.quantities.units import unit_named

TORQUE_LEADS = "N·m"
FOOT_UNITS_FROM = 20
"""From this many N·m up the customary unit is lbf·ft, below it lbf·in."""

_FRACTIONS_BELOW = Fraction(100, 1000)
_FRACTION_MOVE = Fraction(1, 100)
_DENOMINATORS = (2, 4, 8, 16, 32)


@dataclass(frozen=True, slots=True)
class Converted:
    """A converted value or range, rounded; for reading only, never converted again.

    ``low`` equals ``high`` for a single value; ``text`` shows it: ``89 lbf·in``, ``98–115 lbf·in``.
    """

    low: Decimal
    high: Decimal
    unit: str
    text: str

    @property
    def is_range(self) -> bool:
        """Whether it has two ends."""
        return self.low != self.high

    def __str__(self) -> str:
        return self.text


@lru_cache(maxsize=4096)
def convert(q: Quantity, unit: str) -> Converted:
    """Return a quantity in another unit of its kind, rounded as ``rounding`` says.

    In its own unit it stays as written. Temperatures are rounded to whole degrees. QuantityError
    ``wrong-dimension`` when the unit is of another kind, ``no-unit`` when it is unknown.
    """
    low, high = q.exact(unit)
    symbol = unit_named(unit).symbol
    if symbol == q.unit:
        return Converted(_decimal(low), _decimal(high), symbol, q.canonical())
    rounded = _rounded(low, high, None if q.kind == "temperature" else MOST_MOVE)
    ends = as_decimal(rounded.low, rounded.step), as_decimal(rounded.high, rounded.step)
    return Converted(*ends, symbol, with_symbol(_range_text(*ends), symbol))


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


def _rounded(low: Fraction, high: Fraction, most_move: Fraction | None) -> Rounded:
    if low == high:
        return round_value(low, most_move)
    return round_inwards(low, high, most_move)


def _range_text(low: Decimal, high: Decimal) -> str:
    ends = [f"{end:f}".replace("-", "\u2212") for end in (low, high)]
    if low == high:
        return ends[0]
    return "–".join(ends) if low >= 0 else "\u00a0to\u00a0".join(ends)


def customary_torque_unit(q: Quantity) -> str:
    """Return the unit beside a torque's N·m: its own, or lbf·in below 20 N·m, else lbf·ft."""
    if q.unit != TORQUE_LEADS:
        return q.unit
    return "lbf·in" if q.nominal < FOOT_UNITS_FROM else "lbf·ft"


def customary(q: Quantity) -> str:
    """Return the text that stands in brackets after a quantity, or "" when none does.

    A length under 100 mm in mm becomes a common fraction of an inch (the coarsest of halves to
    thirty-seconds that is within 1 % of it), as spanners and drills are marked; other values are
    rounded decimals.
    """
    if q.kind == "torque":
        return convert(q, customary_torque_unit(q)).text
    unit = unit_named(q.unit).customary
    if not unit:
        return ""
    return (unit == "in" and _inch_fraction(q)) or convert(q, unit).text


def _inch_fraction(q: Quantity) -> str:
    exact, _ = q.exact("in")
    if q.is_range or q.exact("m")[0] >= _FRACTIONS_BELOW:
        return ""
    for denominator in _DENOMINATORS:
        near = Fraction(round(exact * denominator), denominator)
        if abs(near - exact) <= _FRACTION_MOVE * abs(exact):
            return with_symbol(_mixed(near), "in")
    return ""


def _mixed(value: Fraction) -> str:
    whole, part = divmod(value, 1)
    if not part:
        return str(whole)
    return f"{whole}-{part}" if whole else str(part)


@lru_cache(maxsize=4096)
def show_torque(q: Quantity) -> str:
    """Return a torque with N·m first and the customary unit in brackets: ``10 N·m (89 lbf·in)``."""
    return f"{convert(q, TORQUE_LEADS).text} ({customary(q)})"


def with_conversion(q: Quantity) -> str:
    """Return a quantity as written, tidy, with its conversion: ``19 mm (3/4 in)``, ``12 V``."""
    if q.kind == "torque":
        return show_torque(q)
    other = customary(q)
    return f"{q.canonical()} ({other})" if other else q.canonical()
