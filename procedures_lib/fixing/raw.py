"""The text of a page as its file has it, and small edits that leave the rest byte for byte."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

_LINE = re.compile(r"([^\r\n]*)(\r\n|\r|\n|$)")


@dataclass(frozen=True, slots=True, order=True)
class Edit:
    """What stands from ``start`` to ``end`` of a line (counted from 1) becomes ``text``.

    A line break in ``text`` is written ``\\n``, and becomes the page's own.
    """

    line: int
    start: int
    end: int
    text: str


def lines_of(text: str) -> list[tuple[str, str]]:
    """Return the lines of a page as the reader counts them, each with the break after it.

    A byte-order mark belongs to no line: it is the first line's, and is kept.
    """
    return [(match[1], match[2]) for match in _LINE.finditer(text)]


def applied(text: str, edits: Iterable[Edit]) -> str:
    """Return a text with edits made; of two that meet, the second is left out."""
    lines = lines_of(text)
    wanted = sorted(set(edits))
    fitting = [e for n, e in enumerate(wanted) if n == 0 or not _meet(wanted[n - 1], e)]
    for edit in reversed(fitting):
        old, ending = lines[edit.line - 1]
        new = edit.text.replace("\n", ending or "\n")
        lines[edit.line - 1] = f"{old[: edit.start]}{new}{old[edit.end :]}", ending
    return "".join(line + ending for line, ending in lines)


def _meet(first: Edit, second: Edit) -> bool:
    return first.line == second.line and first.end > second.start
