"""A quantity as a value for JSON: its text, and its numbers as exact as JSON has them."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from procedures_lib.exports.spacing import spaced

if TYPE_CHECKING:
    from procedures_lib.quantities import Quantity


def quantity_value(quantity: Quantity | None) -> dict[str, Any] | None:
    """Return ``{text, unit, value, low, high}``; None for no quantity.

    The numbers are in ``unit``, exact: ``value`` is the one named, None for a range; ``low`` and
    ``high`` are the ends of a tolerance or range, alike for a plain number.
    """
    if quantity is None:
        return None
    return {
        "text": spaced(quantity.canonical()),
        "unit": quantity.unit,
        "value": None if quantity.value is None else exact_number(quantity.value),
        "low": exact_number(quantity.low),
        "high": exact_number(quantity.high),
    }


def exact_number(value: Fraction) -> int | float | str:
    """Return a number that JSON writes exactly; one that no decimal is (1/3) as "1/3"."""
    if value.denominator == 1:
        return value.numerator
    near = float(value)
    return near if Fraction(repr(near)) == value else f"{value.numerator}/{value.denominator}"
