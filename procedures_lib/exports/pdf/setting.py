"""Text set in lines of a width: words are parted only where one is wider than the line."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.exports.pdf.fonts import printable, width_of
from procedures_lib.exports.pdf.marks import Line, Piece

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from procedures_lib.exports.pdf.marks import Runs

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
