"""Numbers as people type them: decimals, common fractions, mixed numbers; the rest refused."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from procedures_lib.quantities.errors import QuantityError

if TYPE_CHECKING:
    from collections.abc import Callable

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
_COMMA = re.compile(r"[0-9]+(?:,[0-9]+)+(?:\.[0-9]+)?")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_NO_LEADING_ZERO = re.compile(r"(?<![0-9.A-Za-z])\.[0-9]+")
_BARE_POINT = re.compile(r"[0-9]+\.(?![0-9])")
_OVER_ZERO = re.compile(r"/0+(?![0-9])")
_RUN = re.compile(r"[0-9][0-9.]*")


def _plain_power(match: re.Match[str]) -> str:
    if len(match[1].lstrip("+-")) > _LONGEST_POWER:
        return ""
    number = Decimal(match[0])
    _, _, power = number.as_tuple()
    if not isinstance(power, int) or abs(power) > _MOST_POWER:
        return ""
    return f"{number:f}"


def _without_comma(match: re.Match[str]) -> str:
    if _THOUSANDS.fullmatch(match[0]):
        return match[0].replace(",", "")
    return match[0].replace(",", ".") if match[0].count(",") == 1 else ""


def _without_vulgar(match: re.Match[str]) -> str:
    whole, sign = match[1], _VULGAR[match[2]]
    return f"{whole} {sign}" if whole else sign


_MENDABLE: tuple[tuple[re.Pattern[str], str, Callable[[re.Match[str]], str]], ...] = (
    (_VULGAR_SIGN, "writes its fraction as one sign", _without_vulgar),
    (_POWER, "writes its number with an exponent", _plain_power),
    (_COMMA, "has a comma in its number", _without_comma),
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
            raise QuantityError("not-a-number", f"`{text}` {wrong}", hint)
    if _NOT_FINITE.match(text):
        raise QuantityError("not-a-number", f"`{text}` is not a number", _FORM_HINT)
    if _OVER_ZERO.search(text):
        raise QuantityError("not-a-number", f"`{text}` divides by zero", _FORM_HINT)
    if any(len(run.replace(".", "")) > MOST_DIGITS for run in _RUN.findall(text)):
        raise QuantityError(
            "not-a-number",
            f"`{text}` has a number of more than {MOST_DIGITS} digits",
            f"write no more than {MOST_DIGITS} digits",
        )


def number_value(text: str) -> Fraction:
    """Return the exact value of a text that matches ``NUMBER``; ``not-a-number`` for ``1 5/4``."""
    whole, _, part = text.replace("-", " ").rpartition(" ")
    value = Fraction(part)
    if not whole:
        return value
    if value >= 1:
        right = int(whole) + value
        mixed = f"{right.numerator // right.denominator} {right % 1}" if right % 1 else f"{right}"
        raise QuantityError(
            "not-a-number",
            f"`{text}`: the fraction of a mixed number is below one",
            f"write {mixed}",
        )
    return int(whole) + value


def tidy_number(text: str) -> str:
    """Return a number's own digits, with a true minus and a no-break space where it has a space."""
    return text.replace(" ", "\u00a0") if text[:1] not in "+-" else _tidy_signed(text)


def _tidy_signed(text: str) -> str:
    sign = "\u2212" if text[0] == "-" else "+"
    return sign + tidy_number(text[1:].strip())
