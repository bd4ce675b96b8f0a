"""A quantity as a page writes it: read from text, judged, kept as an exact value."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from procedures_lib.engineering.quantities.notation import (
    Amount,
    Parts,
    joined,
    signed_value,
    split_parts,
    tidy_number,
    unit_meant,
)
from procedures_lib.engineering.quantities.units import (
    QuantityError,
    Unit,
    converted,
    in_si,
    kind_named,
    pint_quantity,
    unit_named,
)

NO_BREAK_SPACE = "\u00a0"


def with_symbol(number: str, symbol: str) -> str:
    """Return a number with its unit after a no-break space; none before the degree sign."""
    return number + symbol if symbol == "°" else f"{number}{NO_BREAK_SPACE}{symbol}"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number, a number with tolerance, or a range, in one unit; all values exact.

    ``written`` is the writer's text and is never rewritten; ``tidy`` is the same digits with the
    canonical symbol and no-break spaces: ``12 ± 1 N·m``. ``value`` is the nominal value, None for a
    range. ``low`` and ``high`` are in ``unit``, equal for a plain number.
    """

    written: str
    unit: str
    kind: str
    value: Fraction | None
    low: Fraction
    high: Fraction
    tidy: str

    @property
    def is_range(self) -> bool:
        """Whether more than one value is allowed: a tolerance or a range."""
        return self.low != self.high

    @property
    def nominal(self) -> Fraction:
        """The value named, or the middle of a range, in ``unit``."""
        return (self.low + self.high) / 2 if self.value is None else self.value

    @property
    def si(self) -> float:
        """The nominal value in SI (N·m, rad, m, rad/s, Pa, K, m³, kg, N, W, s, V)."""
        return self._in_si(self.nominal)

    @property
    def si_low(self) -> float:
        """The low end in SI."""
        return self._in_si(self.low)

    @property
    def si_high(self) -> float:
        """The high end in SI."""
        return self._in_si(self.high)

    def _in_si(self, value: Fraction) -> float:
        return float(in_si(value, unit_named(self.unit)))

    def exact(self, unit: str) -> tuple[Fraction, Fraction]:
        """Return the exact low and high end in another unit of the same kind.

        QuantityError: ``wrong-dimension`` when the unit is of another kind, or when the two have no
        conversion (AKI and RON); ``no-unit`` when it is unknown.
        """
        return self._in(unit, self.low), self._in(unit, self.high)

    def exact_nominal(self, unit: str) -> Fraction:
        """Return the exact nominal value in another unit of the same kind; errors as ``exact``."""
        return self._in(unit, self.nominal)

    def _in(self, unit: str, value: Fraction) -> Fraction:
        target, kind = unit_named(unit), kind_named(self.kind)
        if target.kind != self.kind:
            wanted = kind_named(target.kind).called
            message = f"{self.written} is {kind.called}, {target.symbol} is for {wanted}"
            hint = f"use a unit of {self.kind}: {', '.join(each.symbol for each in kind.units)}"
            raise QuantityError("wrong-dimension", message, hint)
        return (
            value if target.symbol == self.unit else converted(value, unit_named(self.unit), target)
        )

    def to_pint(self) -> Any:
        """Return the nominal value as a pint quantity (an exact fraction) of the one registry."""
        return pint_quantity(self.nominal, unit_named(self.unit))

    def __str__(self) -> str:
        return self.tidy


def judge_interval(parts: Parts, unit: Unit, low: Fraction, high: Fraction) -> None:
    """Refuse a tolerance or range that is empty or runs backwards (``bad-tolerance``)."""
    right = parts.first
    if parts.relative and unit.kind == "temperature":
        message = f"`{parts.text}`: a temperature has no tolerance in per cent"
        raise QuantityError("bad-tolerance", message, f"give the tolerance in {unit.symbol}")
    if low < high:
        return
    if low == high:
        message = f"`{parts.text}` leaves no room between its ends"
    elif parts.joint == "–":
        message = f"`{parts.text}` runs from the higher value to the lower"
        right = joined(parts.second, "–", parts.first, " ")
    else:
        message = f"`{parts.text}` has a negative tolerance"
        right = f"{parts.first} ± {parts.second.lstrip('+-')}"
    hint = f"write {Amount(right, high, low).with_unit(unit.symbol)}"
    raise QuantityError("bad-tolerance", message, hint)


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
    message = hint = ""
    if kind.least == "any":
        if in_si(low, unit) < 0:
            message = f"`{parts.text}` is below absolute zero"
            hint = "write a temperature from −273.15 °C (−459.67 °F) up"
    elif low < 0 or (low == 0 and kind.least == "positive"):
        least = "zero or more" if kind.least == "zero" else "more than zero"
        message = f"`{parts.text}`: {kind.called} has to be {least}"
        hint = f"write {kind.called} of {least}"
    elif parts.first.startswith("+"):
        message = f"`{parts.text}` carries a sign, and none is wanted"
        hint = f"write {Amount(parts.first.lstrip('+'), low, low).with_unit(unit.symbol)}"
    if message:
        raise QuantityError("out-of-range", message, hint)


_COMMON_FRACTION = re.compile(r"(?:[0-9]+[ -])?([0-9]+)/(2|3|4|6|8|12|16|32|64)")
_IN_FRACTIONS = frozenset({"in", "ft", "turn", "mi", "lb", "oz", "h"})
"""Units besides the customary ones of volume in which the trade writes fractions."""


def _is_proper(over: int, under: int) -> bool:
    """Whether a fraction is below one and in its lowest terms, as the trade writes them."""
    return 0 < over < under and math.gcd(over, under) == 1


def judge_fraction(parts: Parts, unit: Unit) -> None:
    """Refuse a fraction that can be two numbers: ``20/22 N·m`` (``not-a-number``)."""
    for number in (parts.first, parts.second):
        if "/" not in number:
            continue
        match = _COMMON_FRACTION.fullmatch(number.lstrip("+-"))
        usual = unit.symbol in _IN_FRACTIONS or unit.symbol.startswith(("US ", "imp "))
        if match and usual and _is_proper(int(match[1]), int(match[2])):
            continue
        one, _, other = number.replace("-", " ").rpartition(" ")[2].partition("/")
        message = f"`{parts.text}`: {number} can be one number or two"
        pair = Amount("–".join(sorted((one, other), key=float)), Fraction(0), Fraction(1))
        hint = f"write {pair.with_unit(unit.symbol)} for two, a decimal number for the fraction"
        raise QuantityError("not-a-number", message, hint)


def read_quantity(text: str, kind: str | None = None, *, signed: bool = False) -> Quantity:
    """Return the quantity a text states: ``12 N·m``, ``12 ± 1 N·m``, ``10–12 N·m``, ``3/4 in``.

    ``kind`` is the kind wanted (one of ``KINDS``), None for any. ``signed`` allows a sign, as in a
    gain of ``+21 hp``. All arithmetic is exact.

    QuantityError, with a hint: ``not-a-number``, ``no-unit``, ``ambiguous-unit``,
    ``wrong-dimension``, ``bad-tolerance``, ``out-of-range``. KeyError for a kind not in ``KINDS``.
    """
    return _read(str(text), kind, signed)


def quantity_of(text: str, kind: str | None = None) -> Quantity | None:
    """Return the quantity a text states, of the kind wanted (None: of any); None for any other."""
    try:
        return read_quantity(text, kind)
    except QuantityError:
        return None


@lru_cache(maxsize=8192)
def _read(text: str, kind: str | None, signed: bool) -> Quantity:
    written = text.strip()
    parts = split_parts(written)
    first = signed_value(parts.first)
    low, high = _ends(parts, first)
    unit = unit_meant(parts.unit or parts.second_unit, kind, Amount(_amount_text(parts), low, high))
    _same_unit(parts, unit)
    judge_fraction(parts, unit)
    if parts.joint:
        judge_interval(parts, unit, low, high)
    if not signed:
        judge_reach(parts, unit, low)
        judge_size(parts, unit, low)
    value = None if parts.joint == "–" else first
    return Quantity(written, unit.symbol, unit.kind, value, low, high, _tidy(parts, unit))


def _ends(parts: Parts, first: Fraction) -> tuple[Fraction, Fraction]:
    if not parts.joint:
        return first, first
    second = signed_value(parts.second)
    if parts.joint == "–":
        return first, second
    reach = abs(first) * second / 100 if parts.relative else second
    return first - reach, first + reach


def _amount_text(parts: Parts) -> str:
    """Return the number part as a writer types it: ``12``, ``12 ± 1``, ``10–12``."""
    if not parts.joint or parts.relative:
        return parts.first
    return joined(parts.first, parts.joint, parts.second, " ")


def _same_unit(parts: Parts, unit: Unit) -> None:
    if parts.relative or not (parts.unit and parts.second_unit):
        return
    second = unit_meant(parts.second_unit, None, Amount(parts.second, Fraction(1), Fraction(1)))
    if second != unit:
        message = f"`{parts.text}` has two units, {unit.symbol} and {second.symbol}"
        raise QuantityError("bad-tolerance", message, f"give both numbers in {unit.symbol}")


def _tidy(parts: Parts, unit: Unit) -> str:
    first = tidy_number(parts.first)
    if not parts.joint:
        return with_symbol(first, unit.symbol)
    second = tidy_number(parts.second)
    if parts.relative:
        shown = with_symbol(first, unit.symbol)
        return NO_BREAK_SPACE.join((shown, "±", second, "%"))
    return with_symbol(joined(first, parts.joint, second, NO_BREAK_SPACE), unit.symbol)
