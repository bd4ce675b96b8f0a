"""The font of the cards: which signs it has, and how wide a text is in it."""

from __future__ import annotations

import unicodedata
from functools import cache

import font_source_sans_pro
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR, BOLD = "Card", "Card-Bold"
_FILES = {REGULAR: "SourceSansPro", BOLD: "SourceSansPro-Bold"}
_LIKE = {
    "\u2011": "-",
    "\u25a1": "\u2610",
    "\u2194": "\u2190\u2192",
    "\t": " ",
    "\u2028": "\n",
    "\u2029": "\n",
}
"""Signs that the font lacks, with one that says the same."""

MISSING = "\u25a0"
"""What is printed for a sign that the font lacks."""


@cache
def _font(name: str) -> TTFont:
    files: dict[str, str] = font_source_sans_pro.font_files_ttf
    font = TTFont(name, files[_FILES[name].replace("-", "")])
    pdfmetrics.registerFont(font)
    return font


@cache
def has_sign(sign: str) -> bool:
    """Tell whether the font has a sign, upright and bold."""
    return all(ord(sign) in _font(name).face.charToGlyph for name in (REGULAR, BOLD))


def printable(text: str) -> str:
    """Return a text in signs that the font has; line ends stay, what it lacks is ``MISSING``.

    Signs without width and controls are left out.
    """
    return "".join(map(_sign, unicodedata.normalize("NFC", text)))


@cache
def _sign(sign: str) -> str:
    if sign in _LIKE:
        return _LIKE[sign]
    if sign == "\n" or has_sign(sign):
        return sign
    return "" if unicodedata.category(sign) in {"Cc", "Cf", "Mn", "Me"} else MISSING


@cache
def _sign_width(sign: str, bold: bool) -> float:
    return float(_font(BOLD if bold else REGULAR).stringWidth(sign, 1.0))


def width_of(text: str, size: float, bold: bool = False) -> float:
    """Return the width of a printable text in points."""
    return size * sum(_sign_width(sign, bold) for sign in text)
