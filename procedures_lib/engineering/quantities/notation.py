"""The pieces of a quantity's text: numbers as people type them, units, and what joins them."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from procedures_lib.engineering.quantities.units import (
    AMBIGUITIES,
    KINDS,
    MISTAKES,
    Ambiguity,
    QuantityError,
    Unit,
    converted,
    kind_named,
    spelling_key,
    spellings_of,
    unit_named,
    unit_spelled,
    units_of,
)
from procedures_lib.spelling import nearest

NUMBER = r"(?:[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]+)?)"
"""A pattern for 12, 12.5, 3/4, 1 1/2 and 1-1/2."""

MOST_DIGITS = 12
_MOST_POWER = 6
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8"}
_VULGAR |= {"⅝": "5/8", "⅞": "7/8", "⅙": "1/6", "⅚": "5/6"}
_VULGAR_SIGN = re.compile(rf"([0-9]?) ?([{''.join(_VULGAR)}])")
_NOT_FINITE = re.compile(r"[+-]?(?:nan|inf|infinity)(?![a-z])", re.IGNORECASE)
_POWER = re.compile(r"[0-9]+(?:\.[0-9]+)?[eE]([+-]?[0-9]+)")
_LONGEST_POWER = 3
_COMMA = re.compile(r"[0-9]+(?:\.[0-9]{3})*(?:,[0-9]+)+(?:\.[0-9]+)?")
_SPACED = re.compile(r"(?<![0-9.])[1-9][0-9]{0,2}(?:[ '][0-9]{3})+(?![0-9/])")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_NO_LEADING_ZERO = re.compile(r"(?<![0-9.A-Za-z])\.[0-9]+")
_BARE_POINT = re.compile(r"[0-9]+\.(?![0-9])")
_OVER_ZERO = re.compile(r"/0+(?![0-9])")
_RUN = re.compile(r"[0-9][0-9.]*")


def _plain_power(match: re.Match[str]) -> str:
    if len(match[1].lstrip("+-")) > _LONGEST_POWER:
        return ""
    number = Decimal(match[0])
    power = number.as_tuple().exponent
    return f"{number:f}" if isinstance(power, int) and abs(power) <= _MOST_POWER else ""


def _without_comma(match: re.Match[str]) -> str:
    number = match[0]
    if number.rpartition(",")[0].count("."):
        return number.replace(".", "").replace(",", ".") if number.count(",") == 1 else ""
    if _THOUSANDS.fullmatch(number):
        return number.replace(",", "")
    return number.replace(",", ".") if number.count(",") == 1 else ""


def _with_spaces(match: re.Match[str]) -> str:
    return re.sub("[ ']", "", match[0])


def _other_reading(plain: str) -> str:
    """What a text with a comma also says, where its comma may be a decimal one: 1,234 mm."""
    either = re.search(r"(?<![0-9,.])[1-9][0-9]{0,2},[0-9]{3}(?![0-9,.])", plain)
    return f", or {plain.replace(',', '.')} if the comma is a decimal one" if either else ""


def _without_vulgar(match: re.Match[str]) -> str:
    whole, sign = match[1], _VULGAR[match[2]]
    return f"{whole} {sign}" if whole else sign


_MENDABLE: tuple[tuple[re.Pattern[str], str, Callable[[re.Match[str]], str]], ...] = (
    (_VULGAR_SIGN, "writes its fraction as one sign", _without_vulgar),
    (_POWER, "writes its number with an exponent", _plain_power),
    (_COMMA, "has a comma in its number", _without_comma),
    (_SPACED, "has a space or an apostrophe in its number", _with_spaces),
    (_NO_LEADING_ZERO, "begins its number with a point", lambda match: f"0{match[0]}"),
    (_BARE_POINT, "ends its number with a point", lambda match: match[0].removesuffix(".")),
)
_FORM_HINT = "write digits with a decimal point, or a fraction such as 3/4, and a unit"


def refuse_bad_numbers(text: str) -> None:
    """Raise ``not-a-number`` for a number form that is refused, with the form to write instead."""
    for pattern, wrong, mend in _MENDABLE:
        mends = [mend(match) for match in pattern.finditer(text)]
        if mends:
            hint = f"write {pattern.sub(mend, text)}" if all(mends) else _FORM_HINT
            hint += _other_reading(text) if pattern is _COMMA and all(mends) else ""
            raise QuantityError("not-a-number", f"`{text}` {wrong}", hint)
    if _NOT_FINITE.match(text):
        raise QuantityError("not-a-number", f"`{text}` is not a number", _FORM_HINT)
    if _OVER_ZERO.search(text):
        raise QuantityError("not-a-number", f"`{text}` divides by zero", _FORM_HINT)
    if any(len(run.replace(".", "")) > MOST_DIGITS for run in _RUN.findall(text)):
        message = f"`{text}` has a number of more than {MOST_DIGITS} digits"
        raise QuantityError("not-a-number", message, f"write no more than {MOST_DIGITS} digits")


def number_value(text: str) -> Fraction:
    """Return the exact value of a text that matches ``NUMBER``; ``not-a-number`` for ``1 5/4``."""
    whole, _, part = text.replace("-", " ").rpartition(" ")
    value = Fraction(part)
    if not whole:
        return value
    if value >= 1:
        message = f"`{text}`: the fraction of a mixed number is below one"
        hint = f"write {mixed_number(int(whole) + value)}"
        raise QuantityError("not-a-number", message, hint)
    return int(whole) + value


def mixed_number(value: Fraction, joint: str = " ") -> str:
    """Return a value from zero up as a whole number and a fraction: ``1 1/8``, ``3/4``, ``2``."""
    whole, part = divmod(value, 1)
    if not part:
        return str(whole)
    return f"{whole}{joint}{part}" if whole else str(part)


def tidy_number(text: str) -> str:
    """Return a number's own digits, with a true minus and a no-break space where it has a space."""
    sign = {"-": "\u2212", "+": "+"}.get(text[0], "")
    digits = text[1:] if sign else text
    return sign + digits.strip().replace(" ", "\u00a0")


LONGEST = 80
"""No quantity is longer than this many characters."""

_SIGNS = str.maketrans({"\u2212": "-", "\u2010": "-", "\u2011": "-", "⁄": "/"})
_FORM = re.compile(
    rf"(?P<sign>[+-]?) ?(?P<first>{NUMBER}) ?(?P<unit>1/min|[^0-9±–—]*?)"
    r"(?: ?(?P<joint>±|\+/-|\+-|–|—|-|\bto\b) ?(?P<second_sign>[+-]?)"
    rf"(?P<second>{NUMBER}) ?(?P<second_unit>1/min|[^0-9±–—]*))?"
)
_TOLERANCE = {"±", "+/-", "+-"}


@dataclass(frozen=True, slots=True)
class Parts:
    """The pieces of a quantity's text; ``joint`` is "", "±" or "–"."""

    text: str
    first: str
    unit: str
    joint: str
    second: str
    second_unit: str

    @property
    def relative(self) -> bool:
        """Whether the tolerance is given in per cent of the value."""
        return self.joint == "±" and self.second_unit == "%" and self.unit not in ("", "%")


def split_parts(written: str) -> Parts:
    """Return the pieces of a text.

    QuantityError ``not-a-number`` or ``bad-tolerance`` when the text has another form.
    """
    if len(written) > LONGEST:
        message = f"`{written[:20]}…` is too long for a quantity"
        raise QuantityError("not-a-number", message, "write a number and a unit")
    plain = " ".join(written.translate(_SIGNS).split())
    refuse_bad_numbers(plain)
    match = _FORM.fullmatch(plain)
    if match is None:
        raise _unreadable(plain)
    joint = match["joint"] or ""
    if joint:
        joint = "±" if joint in _TOLERANCE else "–"
    return Parts(
        text=plain,
        first=match["sign"] + match["first"],
        unit=_unit(match["unit"]),
        joint=joint,
        second=(match["second_sign"] or "") + (match["second"] or ""),
        second_unit=_unit(match["second_unit"]),
    )


def _unit(text: str | None) -> str:
    """A unit as it is written, per cent by its sign: of a tolerance it means a share."""
    unit = (text or "").strip()
    known = unit_spelled(unit)
    return "%" if known is not None and known.symbol == "%" else unit


def _unreadable(text: str) -> QuantityError:
    if not text:
        return QuantityError("not-a-number", "no quantity is written", "write, say, 12 N·m")
    if "±" in text or "+/-" in text:
        message = f"`{text}` is not a number, a tolerance and a unit"
        hint = "write it as 12 ± 1 N·m, or as a range, 11–13 N·m"
        return QuantityError("bad-tolerance", message, hint)
    if re.match(r"[+-]? ?[0-9]", text):
        message = f"`{text}` is not one number and a unit"
        hint = "write it as 12 N·m, 12 ± 1 N·m, 10–12 N·m or 3/4 in"
    else:
        message = f"`{text}` does not begin with a number"
        hint = "write the number in digits, and then its unit: 12 N·m"
    return QuantityError("not-a-number", message, hint)


def signed_value(number: str) -> Fraction:
    """Return the exact value of a number with or without a sign."""
    size = number_value(number.lstrip("+-"))
    return -size if number.startswith("-") else size


def joined(first: str, joint: str, second: str, space: str) -> str:
    """Return two numbers as a tolerance or a range: ``12 ± 1``, ``10–12``, ``−20 to 40``."""
    if joint == "–" and not any(sign in first + second for sign in "-+\u2212"):
        return f"{first}–{second}"
    word = "to" if joint == "–" else joint
    return f"{first}{space}{word}{space}{second}"


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
        is_kind, wanted = kind_named(unit.kind).called, kind_named(kind).called
        message = f"{amount.with_unit(text)} is {is_kind}, {wanted} is wanted"
        raise QuantityError("wrong-dimension", message, _units_of(kind))
    return unit


def _units_of(kind: str) -> str:
    return f"units of {kind}: {', '.join(unit.symbol for unit in units_of(kind))}"


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
    message = f"{amount.with_unit(text)}: did you mean {both}?"
    hint = f"write {amount.with_unit(first)} or {amount.with_unit(second)}"
    return QuantityError("ambiguous-unit", message, hint)


def _reading(symbol: str, shown_in: str, amount: Amount) -> str:
    unit, shown = unit_named(symbol), unit_named(shown_in)
    ends = [_rough(converted(end, unit, shown)) for end in (amount.low, amount.high)]
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
        message = f"{amount.with_unit(text)}: {text} is {mistake.means}"
        return QuantityError("no-unit", message, _if_meant(mistake.instead, amount))
    message = f"{amount.with_unit(text)}: `{text}` is no unit known here"
    if text.startswith("%") and "±" in amount.text:
        first, _, second = amount.text.partition(" ± ")
        hint = f"write the unit before the tolerance: {first} {text[1:].strip()} ± {second} %"
        return QuantityError("no-unit", message, hint)
    if multiple := _multiple(text, kind, amount):
        return QuantityError("no-unit", message, f"write {multiple}")
    spellings = spellings_of(kind)
    plain = spelling_key(text).casefold()
    near = nearest(plain, spellings) if plain.isascii() or "·" in plain else None
    if near:
        return QuantityError("no-unit", message, _if_meant(spellings[near], amount))
    if kind is not None:
        return QuantityError("no-unit", message, _units_of(kind))
    usual = ", ".join(units_of(each)[0].symbol for each in KINDS)
    return QuantityError("no-unit", message, f"units known here are {usual}, and their relatives")


def _if_meant(symbol: str, amount: Amount) -> str:
    return f"if {symbol} is meant, write {amount.with_unit(symbol)}"


_PREFIXES = {"da": "10", "h": "100", "k": "1000", "M": "1000000", "d": "0.1", "c": "0.01"}
_PREFIXES |= {"m": "0.001", "µ": "0.000001", "μ": "0.000001"}
"""Prefixes of the SI brochure, 9th ed., table 7."""


def _multiple(text: str, kind: str | None, amount: Amount) -> str:
    """The same amount in a unit known here, where only the prefix is not: 12 daN·m is 120 N·m."""
    for prefix, factor in _PREFIXES.items():
        unit = unit_spelled(text.removeprefix(prefix)) if text.startswith(prefix) else None
        if unit is not None and unit.pint_name and kind in (None, unit.kind):
            ends = dict.fromkeys(
                _plain(end * Fraction(factor)) for end in (amount.low, amount.high)
            )
            return Amount("–".join(ends), amount.low, amount.high).with_unit(unit.symbol)
    return ""


def _plain(value: Fraction) -> str:
    return f"{Decimal(value.numerator) / Decimal(value.denominator):f}"
