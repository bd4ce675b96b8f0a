"""Spaces: a page keeps a number and its unit on one line, a file wants plain spaces."""

from __future__ import annotations

import unicodedata

from procedures_lib.quantities import NO_BREAK_SPACE


def spaced(text: str) -> str:
    """Return the text with plain spaces, so that a search for "10 N·m" finds it."""
    return text.replace(NO_BREAK_SPACE, " ")


def width_of(text: str) -> int:
    """Return how many columns of a terminal a text takes (Unicode annex 11: wide ones take two)."""
    return sum(_width(sign) for sign in text)


def _width(sign: str) -> int:
    if unicodedata.combining(sign):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in {"W", "F"} else 1
