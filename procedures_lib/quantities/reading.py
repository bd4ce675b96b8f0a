"""Text to quantity: one short grammar, exact values, and a hint with every refusal."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from procedures_lib.quantities.errors import QuantityError
from procedures_lib.quantities.judging import judge_interval, judge_reach, judge_size
from procedures_lib.quantities.number_text import tidy_number
from procedures_lib.quantities.parts import Parts, joined, signed_value, split_parts
from procedures_lib.quantities.quantity import NO_BREAK_SPACE, Quantity, with_symbol
from procedures_lib.quantities.unit_text import Amount, unit_meant
from procedures_lib.quantities.units import Unit


def read_quantity(text: str, kind: str | None = None, *, signed: bool = False) -> Quantity:
    """Return the quantity a text states: ``12 N·m``, ``12 ± 1 N·m``, ``10–12 N·m``, ``3/4 in``.

    ``kind`` is the kind wanted (one of ``KINDS``), None for any. ``signed`` allows a sign, as in a
    gain of ``+21 hp``. All arithmetic is exact.

    QuantityError, with a hint: ``not-a-number``, ``no-unit``, ``ambiguous-unit``,
    ``wrong-dimension``, ``bad-tolerance``, ``out-of-range``. KeyError for a kind not in ``KINDS``.
    """
    return _read(str(text), kind, signed)


@lru_cache(maxsize=8192)
def _read(text: str, kind: str | None, signed: bool) -> Quantity:
    written = text.strip()
    parts = split_parts(written)
    first = signed_value(parts.first)
    low, high = _ends(parts, first)
    unit = unit_meant(parts.unit or parts.second_unit, kind, Amount(_amount_text(parts), low, high))
    _same_unit(parts, unit)
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
        raise QuantityError(
            "bad-tolerance",
            f"`{parts.text}` has two units, {unit.symbol} and {second.symbol}",
            f"give both numbers in {unit.symbol}",
        )


def _tidy(parts: Parts, unit: Unit) -> str:
    first = tidy_number(parts.first)
    if not parts.joint:
        return with_symbol(first, unit.symbol)
    second = tidy_number(parts.second)
    if parts.relative:
        shown = with_symbol(first, unit.symbol)
        return NO_BREAK_SPACE.join((shown, "±", second, "%"))
    return with_symbol(joined(first, parts.joint, second, NO_BREAK_SPACE), unit.symbol)
