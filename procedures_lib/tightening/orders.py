"""Tightening orders from positions: crosswise over a circle, or from the centre outwards."""

from __future__ import annotations

import csv
import math
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    Point = tuple[float, float]


def order_by_pattern(positions: Mapping[str, Point], pattern: str) -> tuple[str, ...]:
    """Return the names of positions (x, y in mm) in the order of a pattern.

    ``cross`` works across the pattern's centre, ``centre-out`` from the middle to the ends.
    """
    if pattern == "cross":
        ring = clockwise(positions)
        return tuple(ring[n - 1] for n in cross_order(len(ring)))
    return centre_out(positions)


def clockwise(positions: Mapping[str, Point]) -> list[str]:
    """Return the names clockwise around their centre, from the one nearest the top."""
    x, y = _centre(positions.values())
    turn = {name: math.atan2(at[0] - x, at[1] - y) for name, at in positions.items()}
    ring = sorted(turn, key=lambda name: (round(turn[name], 6), name))
    top = min(ring, key=lambda name: (round(abs(turn[name]), 6), turn[name] < 0))
    start = ring.index(top)
    return ring[start:] + ring[:start]


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
    x, y = _centre(positions.values())
    left = {name: (at[0] - x, at[1] - y) for name, at in positions.items()}
    order: list[str] = []
    last = (0.0, 0.0)
    while left:
        nearest = min(math.hypot(*at) for at in left.values())
        ring = [name for name, at in left.items() if math.hypot(*at) <= nearest * 1.001 + 0.01]
        name = max(ring, key=lambda each: (math.dist(left[each], last), each))
        last = left.pop(name)
        order.append(name)
    return tuple(order)


@cache
def star_orders() -> dict[int, tuple[int, ...]]:
    """The printed cross patterns by count, ASME PCC-1 legacy tables."""
    text = files(__package__).joinpath("star_orders.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {int(row["bolts"]): tuple(map(int, row["order"].split())) for row in rows}


def _spread(count: int) -> list[int]:
    """The numbers from 1 to ``count``, those of the second half between those of the first."""
    half = (count + 1) // 2
    pairs = [(n, n + half) for n in range(1, half + 1)]
    return [number for pair in pairs for number in pair if number <= count]


def _centre(points: Iterable[Point]) -> Point:
    found = list(points)
    return (
        sum(x for x, _ in found) / len(found),
        sum(y for _, y in found) / len(found),
    )
