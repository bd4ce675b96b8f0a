"""The units a page may use, from ``units.toml``: spellings, kinds, sources; the one door to pint.

pint computes, in exact fractions, with the definitions of ``definitions.txt`` and no others. It is
loaded at the first conversion, not at import (it takes longer to start than a page takes to read),
and asked once for each pair of units.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from procedures_lib.data_tables import text_lines, toml_table
from procedures_lib.findings import SlipError


class QuantityError(SlipError):
    """A text that is no quantity, or not the quantity wanted.

    ``check`` is one of ``no-unit``, ``ambiguous-unit``, ``wrong-dimension``, ``bad-tolerance``,
    ``out-of-range``, ``not-a-number``, and ``unknown-stage`` for a stage that is none.
    """


_LOOK_ALIKES = str.maketrans({"º": "°", "˚": "°", "℃": "°C", "℉": "°F", "″": '"', "”": '"'})
_FULL_STOP = re.compile(r"\.(?=[ -]|$)")
_JOINER = re.compile(r" ?[-*.·⋅∙•×] ?| ")
_ANY_CASE_LETTERS = 4


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit. ``pint_name`` is what it is in the words of ``definitions.txt``.

    ``customary`` is the symbol of the unit that stands in brackets after it, or "".
    """

    symbol: str
    kind: str
    spellings: tuple[str, ...]
    source: str
    customary: str
    pint_name: str


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: how it is called, what its values may be, and its units.

    ``least`` is ``positive``, ``zero`` or ``any``. ``si`` is its SI unit in pint's words (m, rad,
    rad/s, Pa, K, m³, kg, N, W, s, V; a plain share), "" for octane numbers.
    """

    name: str
    called: str
    least: str
    si: str
    units: tuple[Unit, ...]


@dataclass(frozen=True, slots=True)
class Ambiguity:
    """Spellings of one kind that two units share in speech."""

    kind: str
    spellings: frozenset[str]
    readings: tuple[str, str]
    shown_in: str


@dataclass(frozen=True, slots=True)
class Mistake:
    """A spelling that means one thing and is written for another."""

    means: str
    instead: str


def spelling_key(text: str) -> str:
    """Return a unit's text with look-alikes and joiners made one: ``ft.-lbs.`` is ``ft·lbs``."""
    plain = " ".join(text.translate(_LOOK_ALIKES).split())
    return _JOINER.sub("·", _FULL_STOP.sub("", plain)).replace("°·", "°")


def _unit(kind: str, row: dict[str, Any]) -> Unit:
    return Unit(
        symbol=row["symbol"],
        kind=kind,
        spellings=(row["symbol"], *row["spellings"]),
        source=row["source"],
        customary=row.get("customary", ""),
        pint_name=row["pint"],
    )


def _kind(name: str, row: dict[str, Any]) -> Kind:
    return Kind(
        name=name,
        called=row["called"],
        least=row.get("least", "positive"),
        si=row["si"],
        units=tuple(_unit(name, unit) for unit in row["units"]),
    )


_DATA = toml_table(__package__, "units.toml")
_KINDS = {name: _kind(name, row) for name, row in _DATA["kinds"].items()}
_UNITS = {unit.symbol: unit for kind in _KINDS.values() for unit in kind.units}
_SPELLINGS = {spelling_key(word): unit for unit in _UNITS.values() for word in unit.spellings}
_ANY_CASE = {
    word.casefold(): unit
    for word, unit in _SPELLINGS.items()
    if sum(letter.isalpha() for letter in word) >= _ANY_CASE_LETTERS and word != "mbar"
}
"""Spellings in which case means nothing; Mbar is a million bar, mbar a thousandth."""

KINDS: tuple[str, ...] = tuple(_KINDS)
"""The kinds of quantity, by name: torque, angle, length, …"""

AMBIGUITIES: tuple[Ambiguity, ...] = tuple(
    Ambiguity(
        row["kind"],
        frozenset(spelling_key(word) for word in row["spellings"]),
        (row["readings"][0], row["readings"][1]),
        row["shown_in"],
    )
    for row in _DATA["ambiguous"]
)
MISTAKES: dict[str, Mistake] = {
    row["spelling"]: Mistake(row["means"], row["instead"]) for row in _DATA["mistaken"]
}


def kind_named(name: str) -> Kind:
    """Return a kind by its name; KeyError when there is none."""
    return _KINDS[name]


def units_of(kind: str) -> tuple[Unit, ...]:
    """Return the units of a kind, the usual one first; KeyError for an unknown kind."""
    return _KINDS[kind].units


def unit_spelled(text: str) -> Unit | None:
    """Return the unit that a text spells, or None.

    Case matters, except in spellings of four letters and more (``Ft-Lb``, ``DEGREES``), where no
    other unit can be meant.
    """
    key = spelling_key(text)
    return _SPELLINGS.get(key) or _ANY_CASE.get(key.casefold())


@cache
def unit_named(symbol: str) -> Unit:
    """Return a unit by its symbol or one of its spellings; QuantityError ``no-unit`` otherwise."""
    unit = _UNITS.get(symbol) or unit_spelled(symbol)
    if unit is None:
        known = ", ".join(_UNITS)
        raise QuantityError("no-unit", f"`{symbol}` is no unit known here", f"known: {known}")
    return unit


def spellings_of(kind: str | None) -> dict[str, str]:
    """Return the spellings (in lower case) of a kind's units, or of all, each with its symbol."""
    return {
        word.casefold(): unit.symbol
        for word, unit in _SPELLINGS.items()
        if kind is None or unit.kind == kind
    }


def all_spellings() -> dict[str, Unit]:
    """Return every spelling, in the form that ``spelling_key`` gives, with its unit."""
    return dict(_SPELLINGS)


def unbroken(text: str) -> str:
    """Return a text in which no line ends between a number and the symbol of a unit."""
    return _symbol_behind_number().sub("\u00a0", text)


@cache
def _symbol_behind_number() -> re.Pattern[str]:
    symbols = sorted(_UNITS, key=len, reverse=True)
    return re.compile(rf"(?<=\d) (?=(?:{'|'.join(map(re.escape, symbols))})(?![^\W_]))")


@cache
def registry() -> Any:
    """Return the only unit registry of the library (quantities of two registries don't add)."""
    import pint  # noqa: PLC0415  loaded only where it is needed

    lines = text_lines(__package__, "definitions.txt")
    return pint.UnitRegistry(lines, non_int_type=Fraction, cache_folder=None)


@cache
def _line(one: str, other: str) -> tuple[Fraction, Fraction]:
    """The factor and the addend that take a value of one unit to the other, in pint's words."""
    zero, single = (registry().convert(Fraction(number), one, other) for number in (0, 1))
    return single - zero, zero


def converted(value: Fraction, one: Unit, other: Unit) -> Fraction:
    """Return a value of one unit in another, exact.

    QuantityError ``wrong-dimension`` when the two have no conversion: AKI and RON, N·m and mm.
    """
    from pint import DimensionalityError  # noqa: PLC0415  loaded only where it is needed

    try:
        factor, addend = _line(one.pint_name, other.pint_name)
    except DimensionalityError as error:
        message = f"{one.symbol} and {other.symbol} have no conversion"
        hint = f"give the value in {other.symbol} as its source prints it"
        raise QuantityError("wrong-dimension", message, hint) from error
    return value * factor + addend


def in_si(value: Fraction, unit: Unit) -> Fraction:
    """Return a value in the SI unit of its kind, an octane number as it is; π has 21 digits."""
    si = _KINDS[unit.kind].si
    if not si:
        return value
    factor, addend = _line(unit.pint_name, si)
    return value * factor + addend


def factor_between(one: str, other: str) -> float:
    """Return what turns a value of one unit into one of another of its kind; no temperatures."""
    return float(converted(Fraction(1), unit_named(one), unit_named(other)))


def pint_quantity(value: Fraction, unit: Unit) -> Any:
    """Return a value of a unit as a quantity of ``registry()``."""
    return registry().Quantity(value, unit.pint_name)
