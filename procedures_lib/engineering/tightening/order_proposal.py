"""Tightening orders proposed: crosswise over a circle, or from the centre outwards."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.tightening.pattern import (
    Point,
    Shape,
    centre_of,
    clockwise,
    pattern_of,
)

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


_AS_FAR = 0.005
"""How much farther from the middle counts as equally far, as a share of the farthest."""


def propose(positions: Mapping[str, Point]) -> tuple[str, tuple[str, ...]]:
    """Return a pattern word and the names in its order: ``cross`` for a ring, else ``centre-out``.

    Positions are in mm, x to the right, y upwards.
    """
    word = "cross" if pattern_of(positions).shape is Shape.RING else "centre-out"
    return word, order_by_pattern(positions, word)


def order_by_pattern(positions: Mapping[str, Point], pattern: str) -> tuple[str, ...]:
    """Return the names of positions (x, y in mm) in the order of a pattern.

    ``cross`` works across the pattern's centre, ``centre-out`` from the middle to the ends.
    """
    if pattern == "cross":
        ring = clockwise(positions)
        return tuple(ring[n - 1] for n in cross_order(len(ring)))
    return centre_out(positions)


def cross_order(count: int) -> tuple[int, ...]:
    """Return the cross pattern for bolts numbered clockwise from 1.

    The counts of the ASME PCC-1 legacy tables have the order printed there. Any other even count
    goes in opposite pairs whose first bolts lie far apart; an odd count goes almost half-way round
    each time, as a five-bolt wheel does (common practice, no source).
    """
    if count in star_orders():
        return star_orders()[count]
    if count % 2:
        return tuple(n * (count // 2) % count + 1 for n in range(count))
    half = count // 2
    return tuple(bolt for start in _spread(half) for bolt in (start, start + half))


def centre_out(positions: Mapping[str, Point]) -> tuple[str, ...]:
    """Return the names from the middle outwards; of equally far ones, the one across comes next."""
    x, y = centre_of(list(positions.values()))
    left = {name: (at[0] - x, at[1] - y) for name, at in positions.items()}
    slack = _AS_FAR * max(math.hypot(*at) for at in left.values())
    order: list[str] = []
    last = (0.0, 0.0)
    while left:
        nearest = min(math.hypot(*at) for at in left.values())
        ring = [name for name, at in left.items() if math.hypot(*at) <= nearest + slack]
        name = max(ring, key=lambda each: (round(math.dist(left[each], last), 3), each))
        last = left.pop(name)
        order.append(name)
    return tuple(order)


@cache
def star_orders() -> dict[int, tuple[int, ...]]:
    """The printed cross patterns by count, ASME PCC-1 legacy tables."""
    rows = csv_rows(__package__, "star_orders.csv")
    return {int(row["bolts"]): tuple(map(int, row["order"].split())) for row in rows}


def _spread(count: int) -> list[int]:
    """The numbers from 1 to ``count``, those of the second half between those of the first."""
    half = (count + 1) // 2
    pairs = [(n, n + half) for n in range(1, half + 1)]
    return [number for pair in pairs for number in pair if number <= count]
