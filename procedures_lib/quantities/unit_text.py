"""The unit in a quantity's text: found, or refused with what to write instead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.findings import nearest
from procedures_lib.quantities.errors import QuantityError
from procedures_lib.quantities.units import (
    AMBIGUITIES,
    KINDS,
    MISTAKES,
    Ambiguity,
    Unit,
    kind_named,
    spelling_key,
    spellings_of,
    unit_named,
    unit_spelled,
    units_of,
)

if TYPE_CHECKING:
    from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Amount:
    """The number part of a quantity: as written, and its ends (equal for a plain number)."""

    text: str
    low: Fraction
    high: Fraction

    def with_unit(self, symbol: str) -> str:
        """Return the text of the amount with a unit, as a writer would type it."""
        return self.text + symbol if symbol == "°" else f"{self.text} {symbol}"


def unit_meant(text: str, kind: str | None, amount: Amount) -> Unit:
    """Return the unit that ``text`` spells, of the kind wanted (None: of any kind).

    QuantityError: ``no-unit`` when it is missing or unknown, ``ambiguous-unit`` when it may be
    either of two, ``wrong-dimension`` when it is of another kind.
    """
    if not text:
        raise _missing(kind, amount)
    ambiguity = _ambiguity(text, kind)
    if ambiguity:
        raise _ambiguous(text, ambiguity, amount)
    unit = unit_spelled(text)
    if unit is None:
        raise _unknown(text, kind, amount)
    if kind is not None and unit.kind != kind:
        raise QuantityError(
            "wrong-dimension",
            f"{amount.with_unit(text)} is {kind_named(unit.kind).called}, "
            f"{kind_named(kind).called} is wanted",
            f"units of {kind}: {_symbols(kind)}",
        )
    return unit


def _symbols(kind: str) -> str:
    return ", ".join(unit.symbol for unit in units_of(kind))


def _ambiguity(text: str, kind: str | None) -> Ambiguity | None:
    key = spelling_key(text)
    for each in AMBIGUITIES:
        wanted = each.kind == kind or (kind is None and unit_spelled(text) is None)
        if wanted and key.casefold() in each.spellings:
            return each
    return None


def _ambiguous(text: str, ambiguity: Ambiguity, amount: Amount) -> QuantityError:
    first, second = ambiguity.readings
    both = " or ".join(_reading(symbol, ambiguity.shown_in, amount) for symbol in (first, second))
    return QuantityError(
        "ambiguous-unit",
        f"{amount.with_unit(text)}: did you mean {both}?",
        f"write {amount.with_unit(first)} or {amount.with_unit(second)}",
    )


def _reading(symbol: str, shown_in: str, amount: Amount) -> str:
    unit, shown = unit_named(symbol), unit_named(shown_in)
    ends = [_rough(shown.from_base(unit.to_base(end))) for end in (amount.low, amount.high)]
    return f"{amount.with_unit(symbol)} = {'–'.join(dict.fromkeys(ends))} {shown_in}"


def _rough(value: Fraction) -> str:
    """Return a value to two significant digits, or to the unit from 100 up."""
    size, decimals = abs(value), 0
    while size and size < 10 and decimals < 6:
        size, decimals = size * 10, decimals + 1
    return f"{float(value):.{decimals}f}"


def _missing(kind: str | None, amount: Amount) -> QuantityError:
    if kind is None:
        hint = f"write the unit after the number, for example {amount.with_unit('N·m')}"
    else:
        others = ", ".join(unit.symbol for unit in units_of(kind)[1:])
        hint = f"write {amount.with_unit(units_of(kind)[0].symbol)}"
        hint += f", or another unit of {kind}: {others}" if others else ""
    return QuantityError("no-unit", f"{amount.text} has no unit", hint)


def _unknown(text: str, kind: str | None, amount: Amount) -> QuantityError:
    mistake = MISTAKES.get(text)
    if mistake and kind in (None, unit_named(mistake.instead).kind):
        return QuantityError(
            "no-unit",
            f"{amount.with_unit(text)}: {text} is {mistake.means}",
            f"write {amount.with_unit(mistake.instead)}",
        )
    message = f"{amount.with_unit(text)}: `{text}` is no unit known here"
    spellings = spellings_of(kind)
    near = nearest(spelling_key(text).casefold(), spellings)
    if near:
        return QuantityError("no-unit", message, f"write {amount.with_unit(spellings[near])}")
    if kind is not None:
        return QuantityError("no-unit", message, f"units of {kind}: {_symbols(kind)}")
    usual = ", ".join(units_of(each)[0].symbol for each in KINDS)
    return QuantityError("no-unit", message, f"units known here are {usual}, and their relatives")
