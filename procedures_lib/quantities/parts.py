"""The pieces of a quantity's text: numbers, units, and what joins them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.quantities.errors import QuantityError
from procedures_lib.quantities.number_text import NUMBER, number_value, refuse_bad_numbers
from procedures_lib.quantities.units import unit_spelled

if TYPE_CHECKING:
    from fractions import Fraction

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
        short = f"{written[:20]}…"
        raise QuantityError(
            "not-a-number", f"`{short}` is too long for a quantity", "write a number and a unit"
        )
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
        return QuantityError(
            "bad-tolerance",
            f"`{text}` is not a number, a tolerance and a unit",
            "write it as 12 ± 1 N·m, or as a range, 11–13 N·m",
        )
    if not re.match(r"[+-]? ?[0-9]", text):
        return QuantityError(
            "not-a-number",
            f"`{text}` does not begin with a number",
            "write the number in digits, and then its unit: 12 N·m",
        )
    return QuantityError(
        "not-a-number",
        f"`{text}` is not one number and a unit",
        "write it as 12 N·m, 12 ± 1 N·m, 10–12 N·m or 3/4 in",
    )


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
