"""Where the labels of a picture's marks stand: beside their points, covering next to nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from procedures_lib.view.picture import Mark

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Lettering:
    """How large labels are drawn, in the units of the sheet: a mark's ``ring``, a label's ``high``.

    ``letter`` is the width of one letter, ``gap`` what is left free around things.
    """

    ring: float
    high: float
    letter: float
    gap: float

    def wide(self, label: str) -> float:
        """The width of a label: at least as wide as it is high."""
        return max(self.high, len(label) * self.letter + self.high / 2)


@dataclass(frozen=True, slots=True)
class Placed:
    """A mark on a sheet: its point, and the middle of its label."""

    mark: Mark
    point: Place
    label: Place


_WAYS = 12
"""In how many directions from its point a label is tried."""

_STEPS = (0.0, 1.0, 2.2, 3.8)
"""How far from its ring a label is tried, in heights of it."""

_MOST = 32
"""Up to so many marks places are looked for; of more, the labels stand on their points."""

_ROUNDS = 2


@lru_cache(maxsize=512)
def placed(
    marks: tuple[Mark, ...], scale: float, sheet: Place, lettering: Lettering
) -> tuple[Placed, ...]:
    """Return where the labels of marks stand on a sheet (width, height); y runs downwards.

    ``scale`` is the units of the sheet for one pixel. A label stands beside its point, where it and
    the line to it cover no point, no other label and no edge; where there is no such place, as
    little as can be.
    """
    board = _Board(marks, scale, sheet, lettering)
    if len(marks) > _MOST:
        return tuple(map(Placed, marks, board.points, board.points))
    for n in range(len(marks)):
        board.put(n)
    for _ in range(_ROUNDS):
        crossed = [n for n in range(len(marks)) if board.conflict(n, board.labels[n])]
        for n in crossed:
            board.put(n)
        if not crossed:
            break
    labels = (board.labels[n] for n in range(len(marks)))
    return tuple(map(Placed, marks, board.points, labels))


def edge_of_ring(each: Placed, lettering: Lettering) -> Place:
    """Return where the line to a label leaves the ring, seen from the mark's point."""
    dx, dy = each.label[0] - each.point[0], each.label[1] - each.point[1]
    far = math.hypot(dx, dy)
    return (dx * lettering.ring / far, dy * lettering.ring / far) if far else (0.0, 0.0)


class _Board:
    """A sheet while labels are put on it: ``labels`` are those that stand, by number of mark."""

    def __init__(
        self, marks: tuple[Mark, ...], scale: float, sheet: Place, lettering: Lettering
    ) -> None:
        self.points = [(mark.x * scale, mark.y * scale) for mark in marks]
        self.labels: dict[int, Place] = {}
        self._half = [lettering.wide(mark.label) / 2 for mark in marks]
        self._sheet = sheet
        self._lettering = lettering

    def put(self, n: int) -> None:
        """Put a label where it covers least, the nearest such place first."""
        self.labels.pop(n, None)
        best, least = self.points[n], math.inf
        for step in _STEPS:
            for at in self._around(n, step):
                cost = self.conflict(n, at) + 0.02 * math.dist(at, self.points[n])
                if cost < least:
                    best, least = at, cost
            if least < 0.02 * math.hypot(*self._sheet):
                break
        self.labels[n] = best

    def _around(self, n: int, step: float) -> Iterator[Place]:
        x, y = self.points[n]
        half, tall = self._half[n], self._lettering.high / 2
        near = self._lettering.ring + self._lettering.gap + step * self._lettering.high
        for way in range(_WAYS):
            turn = 2 * math.pi * way / _WAYS
            across, down = math.cos(turn), math.sin(turn)
            far = near + min(half / max(abs(across), 1e-9), tall / max(abs(down), 1e-9))
            left, top = half + 1, tall + 1
            yield (
                min(max(x + across * far, left), self._sheet[0] - left),
                min(max(y + down * far, top), self._sheet[1] - top),
            )

    def conflict(self, n: int, at: Place) -> float:
        """How much a label at a place, and the line to it, get in the way of the others."""
        here, half, tall = self.points[n], self._half[n], self._lettering.high / 2
        ring, gap = self._lettering.ring, self._lettering.gap
        found = 0.0
        for other, point in enumerate(self.points):
            found += _overlap(at, point, half + ring, tall + ring)
            found += 40 * (other != n and _meets(here, at, point, ring, ring))
        for other, label in self.labels.items():
            if other != n:
                there, wide = self.points[other], self._half[other]
                found += _overlap(at, label, half + wide + gap / 2, 2 * tall + gap / 2)
                found += 60 * _meets(here, at, label, wide, tall)
                found += 60 * _meets(there, label, at, half, tall)
                found += 30 * _cross(here, at, there, label)
        return found


def _meets(a: Place, b: Place, middle: Place, half: float, tall: float) -> bool:
    """Whether the line from ``a`` to ``b`` runs through a box about a middle."""
    first, last = 0.0, 1.0
    for start, end, centre, room in zip(a, b, middle, (half, tall), strict=True):
        way, low, high = end - start, centre - room - start, centre + room - start
        if not way:
            if low > 0 or high < 0:
                return False
            continue
        near, far = sorted((low / way, high / way))
        first, last = max(first, near), min(last, far)
        if first > last:
            return False
    return True


def _overlap(one: Place, other: Place, across: float, down: float) -> float:
    """By how much two things overlap whose middles have to be so far apart."""
    return max(0.0, across - abs(one[0] - other[0])) * max(0.0, down - abs(one[1] - other[1]))


def _cross(a: Place, b: Place, c: Place, d: Place) -> bool:
    """Whether two lines cross."""

    def side(p: Place, q: Place, r: Place) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
