"""What can stand on a page, as plain values in points: text in lines, boxes, a QR code."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import groupby

import font_source_sans_pro
import segno
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


Runs = tuple[tuple[str, bool], ...]
"""A line of text as pieces, each with whether it is bold."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of text; ``y`` is its base line, ``align`` left, right or centre of ``x``."""

    x: float
    y: float
    runs: Runs
    size: float
    align: str = "left"
    white: bool = False


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.5
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle from its upper left corner; filled black, or drawn with a line."""

    x: float
    y: float
    width: float
    height: float
    line: float = 0.8
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    x: float
    y: float
    radius: float
    line: float = 1.0


@dataclass(frozen=True, slots=True)
class Triangle:
    """A black triangle."""

    corners: tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


Mark = Line | Rule | Box | Circle | Triangle


@dataclass(frozen=True, slots=True)
class Piece:
    """A strip of a page that is never parted: its height, and the marks on it from its top."""

    height: float
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Block:
    """Pieces that belong together: on one page if a page holds them.

    Where they are too many, and where they are ``loose`` as the rows of a table are, the first
    ``lead`` stay together, and ``again`` stands on top of each page on which the block goes on.
    ``with_next`` keeps a heading with what follows it.
    """

    pieces: tuple[Piece, ...]
    lead: int = 1
    again: Piece | None = None
    with_next: bool = False
    loose: bool = False

    @property
    def height(self) -> float:
        """The height of all pieces."""
        return sum(piece.height for piece in self.pieces)

    @property
    def lead_height(self) -> float:
        """The height of what has to stand together even where the block is parted."""
        return sum(piece.height for piece in self.pieces[: self.lead])


def moved(mark: Mark, dx: float, dy: float) -> Mark:
    """Return a mark moved to the right and down."""
    match mark:
        case Rule(x1, y1, x2, y2, width, dashed):
            return Rule(x1 + dx, y1 + dy, x2 + dx, y2 + dy, width, dashed)
        case Triangle(corners):
            (ax, ay), (bx, by), (cx, cy) = corners
            return Triangle(((ax + dx, ay + dy), (bx + dx, by + dy), (cx + dx, cy + dy)))
        case Line(x, y, runs, size, align, white):
            return Line(x + dx, y + dy, runs, size, align, white)
        case Box(x, y, width, height, line, filled):
            return Box(x + dx, y + dy, width, height, line, filled)
        case Circle(x, y, radius, line):
            return Circle(x + dx, y + dy, radius, line)


LEADING = 1.22
"""From one base line to the next, as a multiple of the size."""

_BASE = 0.95
_WORD = re.compile(r" +|[^ ]+")


def set_lines(runs: Iterable[tuple[str, bool]], size: float, width: float) -> list[Runs]:
    """Return pieces of text as lines that are at most so wide; at least one line."""
    lines: list[list[tuple[str, bool]]] = [[]]
    used = 0.0
    for text, bold in runs:
        for n, part in enumerate(printable(text).split("\n")):
            if n:
                lines.append([])
                used = 0.0
            for word in _words(part, bold, size, width):
                wide = width_of(word, size, bold)
                if used and word.strip(" ") and used + wide > width + 0.01:
                    lines.append([])
                    used = 0.0
                if used or word.strip(" "):
                    lines[-1].append((word, bold))
                    used += wide
    return [_merged(line) for line in lines]


def _words(text: str, bold: bool, size: float, width: float) -> Iterator[str]:
    """Yield words and the spaces between them; a word wider than the line is cut."""
    for match in _WORD.finditer(text):
        word = match[0]
        while (cut := _fitting(word, bold, size, width)) < len(word):
            yield word[:cut]
            word = word[cut:]
        yield word


def _fitting(word: str, bold: bool, size: float, width: float) -> int:
    """How many signs of a word fit; at least one."""
    used = 0.0
    for n, sign in enumerate(word):
        used += width_of(sign, size, bold)
        if used > width:
            return max(n, 1)
    return len(word)


def _merged(words: list[tuple[str, bool]]) -> Runs:
    merged: list[tuple[str, bool]] = []
    for word, bold in words:
        if merged and merged[-1][1] == bold:
            merged[-1] = merged[-1][0] + word, bold
        else:
            merged.append((word, bold))
    if merged:
        merged[-1] = merged[-1][0].rstrip(" "), merged[-1][1]
    return tuple(run for run in merged if run[0])


def text_pieces(
    runs: Iterable[tuple[str, bool]], size: float, width: float, x: float = 0.0
) -> list[Piece]:
    """Return a text as pieces, a line each."""
    return [line_piece(line, size, x) for line in set_lines(runs, size, width)]


def line_piece(line: Runs, size: float, x: float = 0.0) -> Piece:
    """Return one line as a piece."""
    marks = (Line(x, size * _BASE, line, size),) if line else ()
    return Piece(size * LEADING, marks)


def space(height: float) -> Piece:
    """Return an empty piece."""
    return Piece(height)


QUIET = 4
"""White modules around the code (ISO/IEC 18004:2015, 5.3.8)."""


def modules(address: str) -> tuple[tuple[bool, ...], ...]:
    """Return the code of an address row by row, dark modules True, without the quiet zone."""
    code = segno.make_qr(address, error="m")
    return tuple(tuple(bool(dark) for dark in row) for row in code.matrix)


def qr_boxes(address: str, side: float) -> tuple[Box, ...]:
    """Return the code of an address as boxes in a square of this side, quiet zone included.

    Neighbours in a row are one box, so that no hair line shows between them.
    """
    rows = modules(address)
    unit = side / (len(rows) + 2 * QUIET)
    boxes = []
    for y, row in enumerate(rows):
        x = 0
        for dark, run in groupby(row):
            count = len(list(run))
            if dark:
                left, top = (x + QUIET) * unit, (y + QUIET) * unit
                boxes.append(Box(left, top, count * unit, unit, 0.0, True))
            x += count
    return tuple(boxes)
