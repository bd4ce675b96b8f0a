"""Plain layouts to propose an order for: a circle, a row, two rows, numbered from 1."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from procedures_lib.tightening.pattern import Point

MOST = 1000
"""The most fasteners of a layout."""

_PITCH, _APART = 100.0, 90.0

LAYOUTS = {
    "circle": "numbered clockwise",
    "row": "numbered from one end",
    "two-rows": "numbered along one row, then along the other from the same end",
}
"""The words for layouts, and how each is numbered."""


def layout(word: str, count: int) -> dict[str, Point]:
    """Return the positions of a layout in mm, by number.

    ValueError for a word or a count that makes none: two rows want an even one.
    """
    if not 1 <= count <= MOST:
        raise ValueError(f"write a number from 1 to {MOST}")
    if word == "circle":
        turns = [2 * math.pi * n / count for n in range(count)]
        points = [(_PITCH * math.sin(turn), _PITCH * math.cos(turn)) for turn in turns]
    elif word == "row":
        points = [(_PITCH * n, 0.0) for n in range(count)]
    elif word == "two-rows" and count % 2 == 0:
        points = [(_PITCH * n, y) for y in (_APART, 0.0) for n in range(count // 2)]
    else:
        raise ValueError("two rows want an even number" if word == "two-rows" else f"no `{word}`")
    return {str(n): at for n, at in enumerate(points, start=1)}
