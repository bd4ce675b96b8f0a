"""Whether the values of a quantity make sense: tolerances, ranges, signs and zero."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.quantities.errors import QuantityError
from procedures_lib.quantities.parts import Parts, joined, signed_value
from procedures_lib.quantities.unit_text import Amount
from procedures_lib.quantities.units import Unit, kind_named

if TYPE_CHECKING:
    from fractions import Fraction


def judge_interval(parts: Parts, unit: Unit, low: Fraction, high: Fraction) -> None:
    """Refuse a tolerance or range that is empty or runs backwards (``bad-tolerance``)."""
    plain = Amount(parts.first, low, high).with_unit(unit.symbol)
    if parts.relative and unit.kind == "temperature":
        raise QuantityError(
            "bad-tolerance",
            f"`{parts.text}`: a temperature has no tolerance in per cent",
            f"give the tolerance in {unit.symbol}",
        )
    if low == high:
        raise QuantityError(
            "bad-tolerance", f"`{parts.text}` leaves no room between its ends", f"write {plain}"
        )
    if low > high:
        raise _backwards(parts, unit, low, high)


def _backwards(parts: Parts, unit: Unit, low: Fraction, high: Fraction) -> QuantityError:
    if parts.joint == "–":
        message = f"`{parts.text}` runs from the higher value to the lower"
        right = joined(parts.second, "–", parts.first, " ")
    else:
        message = f"`{parts.text}` has a negative tolerance"
        right = f"{parts.first} ± {parts.second.lstrip('+-')}"
    hint = f"write {Amount(right, high, low).with_unit(unit.symbol)}"
    return QuantityError("bad-tolerance", message, hint)


def judge_reach(parts: Parts, unit: Unit, low: Fraction) -> None:
    """Refuse a tolerance that takes a positive value to zero or below (``bad-tolerance``)."""
    value, least = signed_value(parts.first), kind_named(unit.kind).least
    reaches = low < 0 if least == "zero" else low <= 0
    if parts.joint != "±" or least == "any" or value <= 0 or not reaches:
        return
    hint = f"the tolerance has to be smaller than {parts.first}"
    if parts.relative:
        hint = "the tolerance has to be smaller than 100 %"
    elif signed_value(parts.second) > value:
        swapped = Amount(f"{parts.second} ± {parts.first}", low, low).with_unit(unit.symbol)
        hint = f"{hint}; did you mean {swapped}?"
    raise QuantityError("bad-tolerance", f"`{parts.text}` reaches down to zero or below", hint)


def judge_size(parts: Parts, unit: Unit, low: Fraction) -> None:
    """Refuse a value, or a sign, that its kind can't have (``out-of-range``)."""
    kind = kind_named(unit.kind)
    if kind.least == "any":
        _judge_absolute_zero(parts, unit, low)
        return
    if low < 0 or (low == 0 and kind.least == "positive"):
        least = "zero or more" if kind.least == "zero" else "more than zero"
        raise QuantityError(
            "out-of-range",
            f"`{parts.text}`: {kind.called} has to be {least}",
            f"write {kind.called} of {least}",
        )
    if parts.first.startswith("+"):
        right = Amount(parts.first.lstrip("+"), low, low).with_unit(unit.symbol)
        raise QuantityError(
            "out-of-range", f"`{parts.text}` carries a sign, and none is wanted", f"write {right}"
        )


def _judge_absolute_zero(parts: Parts, unit: Unit, low: Fraction) -> None:
    if unit.to_base(low) < 0:
        raise QuantityError(
            "out-of-range",
            f"`{parts.text}` is below absolute zero",
            "write a temperature from −273.15 °C (−459.67 °F) up",
        )
