"""The shape that the positions of a group make, and whether an order suits it."""

from __future__ import annotations

import enum
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]


FEWEST = 4
"""Fewer fasteners than this make no pattern: any order of three is as good as another."""

_ROUND_WITHIN = 0.10
"""How far a position may lie off the circle, as a share of its radius: a ruler, an oval cover."""

_WIDEST_GAP = {4: math.radians(150)}
_WIDEST_GAP_ELSE = math.radians(120)
"""The widest gap between neighbours of a ring: a wider one is an arc, or two far pairs."""

_STRAIGHT_WITHIN = 0.15
"""How wide a row may be, as a share of its length: holes of a rail stand to and fro."""

_LINE_WITHIN = 0.02
"""Within this share of its length, a row is a line, and its width is the ruler's."""

_LONG_FROM = 1.5
"""How many times longer than wide two rows have to be."""


class Shape(enum.StrEnum):
    """What the positions of a group make."""

    FEW = "few"
    RING = "ring"
    ROW = "row"
    TWO_ROWS = "two rows"
    LONG = "long"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Pattern:
    """The shape, with the names in its rows.

    A ring has one row, clockwise from the top; a row runs from one end to the other; two rows run
    the same way, side by side. ``along`` has the place of each name on the long axis, in mm from
    the middle; it is empty for a ring.
    """

    shape: Shape
    rows: tuple[tuple[str, ...], ...] = ()
    along: Mapping[str, float] | None = None


def pattern_of(positions: Mapping[str, Point]) -> Pattern:
    """Return the pattern of positions (x to the right, y upwards, in mm)."""
    if len(positions) < FEWEST or len(set(positions.values())) < len(positions):
        return Pattern(Shape.FEW)
    if ring := _ring(positions):
        return Pattern(Shape.RING, (tuple(ring),))
    return _long(positions)


def clockwise(positions: Mapping[str, Point]) -> list[str]:
    """Return the names clockwise around their centre, from the one nearest the top."""
    return _clockwise(positions, centre_of(list(positions.values())))


def centre_of(points: Sequence[Point]) -> Point:
    """Return the mean of some points."""
    return (
        sum(x for x, _ in points) / len(points),
        sum(y for _, y in points) / len(points),
    )


def _clockwise(positions: Mapping[str, Point], centre: Point) -> list[str]:
    turn = _turns(positions, centre)
    ring = sorted(turn, key=lambda name: (round(turn[name], 6), name))
    top = min(ring, key=lambda name: (round(abs(turn[name]), 6), turn[name] < 0))
    start = ring.index(top)
    return ring[start:] + ring[:start]


def _turns(positions: Mapping[str, Point], centre: Point) -> dict[str, float]:
    """The direction to each position, in radians clockwise from the top."""
    x, y = centre
    return {name: math.atan2(at[0] - x, at[1] - y) for name, at in positions.items()}


def _ring(positions: Mapping[str, Point]) -> list[str]:
    """The names clockwise when the positions lie on a circle, all the way round; else none."""
    centre = _circle_centre(list(positions.values()))
    if centre is None:
        return []
    radii = [math.dist(at, centre) for at in positions.values()]
    middle = (min(radii) + max(radii)) / 2
    if max(radii) - middle > _ROUND_WITHIN * middle:
        return []
    turns = sorted(_turns(positions, centre).values())
    gaps = [b - a for a, b in pairwise(turns)] + [turns[0] + 2 * math.pi - turns[-1]]
    if max(gaps) > _WIDEST_GAP.get(len(positions), _WIDEST_GAP_ELSE):
        return []
    return _clockwise(positions, centre)


def _circle_centre(points: list[Point]) -> Point | None:
    """The centre of the circle that lies nearest to the points (least squares, after Kåsa 1976).

    None for points in a line.
    """
    x0, y0 = centre_of(points)
    near = [(x - x0, y - y0) for x, y in points]
    xx, yy, xy = _second_moments(near)
    right = [sum(p[axis] * (p[0] ** 2 + p[1] ** 2) for p in near) / 2 for axis in (0, 1)]
    determinant = xx * yy - xy * xy
    if determinant <= 1e-9 * (xx + yy) ** 2:
        return None
    dx = (right[0] * yy - right[1] * xy) / determinant
    dy = (right[1] * xx - right[0] * xy) / determinant
    return x0 + dx, y0 + dy


def _second_moments(near: Collection[Point]) -> tuple[float, float, float]:
    """The sums of x², y² and xy of points around their centre, in mm²."""
    squares = (sum(x * x for x, _ in near), sum(y * y for _, y in near))
    return *squares, sum(x * y for x, y in near)


def _long(positions: Mapping[str, Point]) -> Pattern:
    """A row, two rows, or something else that is long; and what is none of these."""
    along, across = _axes(positions)
    length = max(along.values()) - min(along.values())
    width = max(across.values()) - min(across.values())
    by_place = sorted(along, key=lambda name: along[name])
    straight = width <= _STRAIGHT_WITHIN * length
    if not straight and (len(positions) == FEWEST or length < _LONG_FROM * width):
        return Pattern(Shape.OTHER)
    if width > _LINE_WITHIN * length and (rows := _two_rows(by_place, across)):
        return Pattern(Shape.TWO_ROWS, rows, along)
    return Pattern(Shape.ROW if straight else Shape.LONG, (tuple(by_place),), along)


def _two_rows(by_place: list[str], across: Mapping[str, float]) -> tuple[tuple[str, ...], ...]:
    """The names on either side of a clear strip down the middle; () when there is none."""
    high, low = max(across.values()), min(across.values())
    middle = (high + low) / 2
    rows = [
        tuple(name for name in by_place if (across[name] > middle) is side)
        for side in (True, False)
    ]
    apart = min(abs(at - middle) for at in across.values())
    even = min(map(len, rows)) * 2 >= max(map(len, rows))
    return tuple(rows) if even and apart >= (high - low) / 4 else ()


def _axes(positions: Mapping[str, Point]) -> tuple[dict[str, float], dict[str, float]]:
    """The place of each name along and across the direction in which the group is longest."""
    x0, y0 = centre_of(list(positions.values()))
    near = {name: (x - x0, y - y0) for name, (x, y) in positions.items()}
    xx, yy, xy = _second_moments(near.values())
    turn = math.atan2(2 * xy, xx - yy) / 2
    ux, uy = math.cos(turn), math.sin(turn)
    along = {name: x * ux + y * uy for name, (x, y) in near.items()}
    across = {name: y * ux - x * uy for name, (x, y) in near.items()}
    return along, across


_LEAST_PLACES = {Shape.ROW: 4, Shape.TWO_ROWS: 3, Shape.LONG: 4}
"""How many places along its length a group must have; two far pairs are no row."""

_ABREAST = 0.02
"""How near, as a share of the length, two fasteners must be to stand abreast."""


class Fault(enum.StrEnum):
    """What is wrong with an order."""

    ROUND = "round"
    FROM_ONE_END = "from one end"


def judge_order(positions: Mapping[str, Point], order: Sequence[str]) -> Fault | None:
    """Return what is wrong with an order of positions (in mm), or None.

    Two orders are faults, and no others: once round a ring, each fastener after its neighbour; and
    along a row, two rows or another long group, from one end to the other. An order that does not
    name every position once is not judged.
    """
    if sorted(order) != sorted(positions):
        return None
    pattern = pattern_of(positions)
    if pattern.shape is Shape.RING:
        return Fault.ROUND if goes_round(pattern.rows[0], order) else None
    if pattern.along is not None and _from_one_end(pattern, order):
        return Fault.FROM_ONE_END
    return None


def goes_round(ring: Sequence[str], order: Sequence[str]) -> bool:
    """Tell whether an order takes the names of a ring one after the other, in either direction."""
    place = {name: n for n, name in enumerate(ring)}
    steps = {(place[two] - place[one]) % len(ring) for one, two in pairwise(order)}
    return steps in ({1}, {len(ring) - 1})


def _from_one_end(pattern: Pattern, order: Sequence[str]) -> bool:
    if _places(pattern) < _LEAST_PLACES[pattern.shape]:
        return False
    if _runs_one_way(pattern, order):
        return True
    if pattern.shape is not Shape.TWO_ROWS:
        return False
    return any(_row_by_row(pattern, first, order) for first in pattern.rows)


def _places(pattern: Pattern) -> int:
    """How many places there are on the long axis; fasteners abreast share one."""
    along = sorted((pattern.along or {}).values())
    return 1 + sum(b - a > _slack(pattern) for a, b in pairwise(along))


def _slack(pattern: Pattern) -> float:
    along = (pattern.along or {}).values()
    return _ABREAST * (max(along) - min(along))


def _row_by_row(pattern: Pattern, first: Sequence[str], order: Sequence[str]) -> bool:
    """Tell whether one row is done from end to end, and then the other."""
    one, two = order[: len(first)], order[len(first) :]
    return set(one) == set(first) and _runs_one_way(pattern, one) and _runs_one_way(pattern, two)


def _runs_one_way(pattern: Pattern, order: Sequence[str]) -> bool:
    """Tell whether an order never turns back on the long axis; those abreast count as one."""
    along, slack = pattern.along or {}, _slack(pattern)
    steps = [along[two] - along[one] for one, two in pairwise(order)]
    return all(step >= -slack for step in steps) or all(step <= slack for step in steps)
