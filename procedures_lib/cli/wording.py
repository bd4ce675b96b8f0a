"""Small words: numbers of things, and text that a terminal can be trusted with."""

from __future__ import annotations


def counted(number: int, noun: str) -> str:
    """Return "1 page", "2 pages"."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def printable(text: str) -> str:
    """Return a text on one line, its control characters made visible.

    Messages quote pages, and a page must not be able to steer the terminal.
    """
    return "".join(sign if sign.isprintable() or sign == "\u00a0" else _seen(sign) for sign in text)


def _seen(sign: str) -> str:
    return " " if sign.isspace() else sign.encode("unicode_escape").decode("ascii")
