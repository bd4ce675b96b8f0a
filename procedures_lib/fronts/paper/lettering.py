"""The lettering of a card: its font, the signs that it has, and paragraphs set in it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

import font_source_sans_pro
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Paragraph
from reportlab.platypus.paraparser import ParaFrag

from procedures_lib.engineering.quantities.units import unbroken

REGULAR, BOLD = "Card", "Card-Bold"
_FILES: dict[str, str] = font_source_sans_pro.font_files_ttf
_FACES = [
    TTFont(REGULAR, _FILES["SourceSansPro"]),
    TTFont(BOLD, _FILES["SourceSansProBold"]),
]
for _face in _FACES:
    pdfmetrics.registerFont(_face)
pdfmetrics.registerFontFamily(REGULAR, REGULAR, BOLD, REGULAR, BOLD)

TICK = "\u2610"
"""A box to tick, as the font has it."""

MISSING = "\u25a0"
"""What is printed for a sign that the font lacks."""

_LIKE = {
    "\u00ad": "",
    "\u2011": "-",
    "\u25a1": TICK,
    "\u2194": "\u2190\u2192",
    "\u2007": "\u00a0",
    "\u202f": "\u00a0",
    "\t": " ",
    "\u2028": "\n",
    "\u2029": "\n",
}
"""Signs that the font lacks or reportlab parts words at, with one that says the same."""

_APART = re.compile(f"(\n|{TICK})")
_WIDE = re.compile(r" (?= +\S)")
"""Spaces side by side, but for the last."""


@cache
def has_sign(sign: str) -> bool:
    """Tell whether the font has a sign, upright and bold."""
    return all(ord(sign) in face.face.charToGlyph for face in _FACES)


def printable(text: str) -> str:
    """Return a text in signs that the font has; line ends stay, what it lacks is ``MISSING``.

    Signs without width and controls are left out; a unit stays with its number.
    """
    signs = "".join(map(_sign, unicodedata.normalize("NFC", text)))
    return unbroken(signs)


@cache
def _sign(sign: str) -> str:
    if sign in _LIKE:
        return _LIKE[sign]
    if sign == "\n" or has_sign(sign):
        return sign
    return "" if unicodedata.category(sign) in {"Cc", "Cf", "Mn", "Me"} else MISSING


def width_of(text: str, size: float, bold: bool = False) -> float:
    """Return the width of a printable text in points."""
    return pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size)


def style(size: float, **more: Any) -> ParagraphStyle:
    """Return the style of paragraphs in letters of a size in points, as reportlab has it."""
    given = {"fontName": REGULAR, "bulletFontName": REGULAR, "spaceShrinkage": 0, **more}
    return ParagraphStyle(f"card {size}", fontSize=size, leading=size * 1.22, **given)


Run = tuple[str, bool]
"""A piece of a text, and whether it is bold."""


class Text(Paragraph):
    """A paragraph whose lines are set once for a width, however often they are asked for."""

    _measure = 0.0
    """The width that the lines are set for, in points."""

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return width and height in points."""
        if self._measure != width or not hasattr(self, "blPara"):
            super().wrap(width, height)
            self._measure = width
        return self.width, self.height


def paragraph(runs: str | Iterable[Run], look: ParagraphStyle, bullet: str | None = None) -> Text:
    """Return a text as a paragraph; no sign in it is markup, and line ends stay."""
    pieces = [(runs, False)] if isinstance(runs, str) else runs
    return Text("", look, bullet, [part for piece in pieces for part in _parts(*piece, look)])


def _parts(text: str, bold: bool, look: ParagraphStyle) -> Iterator[ParaFrag]:
    """The parts of a run as reportlab has them; spaces side by side stay, boxes stand large."""
    font = BOLD if bold else look.fontName
    usual = ParaFrag(fontName=font, fontSize=look.fontSize, textColor=look.textColor,
                     rise=0, link=[], us_lines=[])  # fmt: skip
    for part in _APART.split(printable(text)):
        if part == "\n":
            yield usual.clone(text="", lineBreak=True)
        elif part:
            size = look.fontSize + 4 if part == TICK else look.fontSize
            yield usual.clone(text=_WIDE.sub("\u00a0", part), fontSize=size)
