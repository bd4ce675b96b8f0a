"""Where the labels of a picture's marks stand: beside their points, covering next to nothing."""

from __future__ import annotations

import math
from collections import defaultdict
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


_WAYS = 24
"""In how many directions from its point a label is tried."""

_STEPS = (0.0, 0.5, 1.0, 1.7, 2.5, 3.5, 5.0, 7.0)
"""How far from its ring a label is tried, in heights of it."""

_LATTICE = 0.45
"""Places all over the sheet, for each half of a label's width and height."""

_MOST = 60
"""Up to so many marks places are looked for; of more, the labels stand on their points."""

_ROUNDS = 30
_EASED = 0.05
"""How much what may be counts where two labels stay in each other's way."""

_POLISH = 2

_LABELS, _THROUGH = 1000.0, 700.0
"""What never stands: a label on another, a line through a label. What may be costs less."""

_HARD = 500.0
_CROSSED, _OVER_RING, _BESIDE_RING, _NARROW = 60.0, 25.0, 5.0, 8.0
_FAR = 0.4
"""Lines that cross, a line over another's ring, a label near one, labels too near for two thumbs;
and each unit of length of a line."""

_THUMB = 0.55
"""How much room a label has about it, in heights, where there is room: 44 units for one of 28."""


@lru_cache(maxsize=512)
def placed(
    marks: tuple[Mark, ...], scale: float, sheet: Place, lettering: Lettering
) -> tuple[Placed, ...]:
    """Return where the labels of marks stand on a sheet (width, height); y runs downwards.

    ``scale`` is the units of the sheet for one pixel. No label covers a point or another label, no
    line to one runs through another, and nothing leaves the sheet, as far as it has the room; lines
    are short, and cross where they must. The same marks always get the same places.
    """
    board = _Board(marks, scale, sheet, lettering)
    if len(marks) <= _MOST:
        board.settle()
    return tuple(map(Placed, marks, board.points, board.labels))


def edge_of_ring(each: Placed, lettering: Lettering) -> Place:
    """Return where the line to a label leaves the ring, seen from the mark's point."""
    dx, dy = each.label[0] - each.point[0], each.label[1] - each.point[1]
    far = math.hypot(dx, dy)
    return (dx * lettering.ring / far, dy * lettering.ring / far) if far else (0.0, 0.0)


class _Board:
    """A sheet while labels are put on it: ``labels`` are their middles, by number of mark.

    Places are looked for as in the breakout method (Morris, AAAI-93): each label goes where it is
    least in the way; where none can do better and two are still in each other's way, that pair
    counts for more from then on, until one of them gives way.
    """

    def __init__(
        self, marks: tuple[Mark, ...], scale: float, sheet: Place, lettering: Lettering
    ) -> None:
        self.points = [(mark.x * scale, mark.y * scale) for mark in marks]
        self.labels = list(self.points)
        self._half = [lettering.wide(mark.label) / 2 for mark in marks]
        self._tall = lettering.high / 2
        self._sheet = sheet
        self._lettering = lettering
        self._standing: list[int] = []
        self._choices: list[list[tuple[float, Place]]] = []
        self._ease = 1.0
        self._weights: dict[tuple[int, int], float] = defaultdict(lambda: 1.0)

    def settle(self) -> None:
        """Find a place for each label."""
        numbers = range(len(self.points))
        self._choices = [sorted(self._worth(n)) for n in numbers]
        for n in sorted(numbers, key=lambda n: (len(self._choices[n]), n)):
            self._put(n)
            self._standing.append(n)
        best, least = list(self.labels), len(self._clashes())
        for tries in range(_ROUNDS):
            self._ease = 1.0 if tries < 3 else _EASED
            clashes = self._clashes()
            if len(clashes) < least:
                best, least = list(self.labels), len(clashes)
            if not clashes:
                break
            moved = [self._put(n) for n in sorted({n for pair in clashes for n in pair})]
            if not any(moved):
                for pair in clashes:
                    self._weights[pair] += 1
        self.labels, self._ease = best, 1.0
        self._weights.clear()
        for n in [*numbers] * _POLISH:
            self._put(n)

    def _clashes(self) -> list[tuple[int, int]]:
        """The pairs of labels that are in each other's way."""
        numbers, labels = range(len(self.points)), self.labels
        return [(n, other) for n in numbers for other in range(n)
                if self._between(n, labels[n], other) >= _HARD]  # fmt: skip

    def _put(self, n: int) -> bool:
        """Put a label where it costs least, and say whether that is elsewhere."""
        before, least = self.labels[n], math.inf
        best = before
        for alone, at in self._choices[n]:
            cost = alone * self._ease
            if cost >= least:
                break
            for other in self._standing:
                if other != n and cost < least:
                    cost += self._between(n, at, other) * self._weights.get(_pair(n, other), 1.0)
            if cost < least:
                best, least = at, cost
        self.labels[n] = best
        return best != before

    def _worth(self, n: int) -> Iterator[tuple[float, Place]]:
        """Yield the places that a label may have on an empty sheet, each with its cost.

        Where all of them cover a point, those that cover fewest.
        """
        found = [(self._covered(n, at), at) for at in dict.fromkeys(self._tried(n))]
        least = min((covered for covered, _ in found), default=0)
        for covered, at in found:
            if covered == least:
                yield self._alone(n, at), at
        if not found:
            yield 0.0, self._inside(n, self.points[n])

    def _tried(self, n: int) -> Iterator[Place]:
        """Yield places about a point, and then all over the sheet."""
        x, y = self.points[n]
        half, tall = self._half[n], self._tall
        for step in _STEPS:
            near = self._lettering.ring + self._lettering.gap + step * self._lettering.high
            for way in range(_WAYS):
                turn = 2 * math.pi * way / _WAYS
                across, down = math.cos(turn), math.sin(turn)
                far = near + min(half / max(abs(across), 1e-9), tall / max(abs(down), 1e-9))
                yield self._inside(n, (x + across * far, y + down * far))
        wide, high = self._sheet
        columns, rows = int(_LATTICE * wide / half), int(_LATTICE * high / tall)
        for column in range(columns):
            for row in range(rows):
                at = (column + 0.5) * wide / columns, (row + 0.5) * high / rows
                yield self._inside(n, at)

    def _inside(self, n: int, at: Place) -> Place:
        left, top = self._half[n] + 1, self._tall + 1
        across = min(max(at[0], left), max(self._sheet[0] - left, left))
        return across, min(max(at[1], top), max(self._sheet[1] - top, top))

    def _covered(self, n: int, at: Place) -> int:
        """How many rings a label would touch."""
        return sum(self._beside(n, at, point, 1.0) for point in self.points)

    def _beside(self, n: int, at: Place, point: Place, gap: float) -> bool:
        room = self._lettering.ring + gap
        dx, dy = abs(at[0] - point[0]), abs(at[1] - point[1])
        return dx < self._half[n] + room and dy < self._tall + room

    def _alone(self, n: int, at: Place) -> float:
        here, ring = self.points[n], self._lettering.ring
        cost = _FAR * math.dist(at, here)
        for other, point in enumerate(self.points):
            if other != n and point != here:
                cost += _OVER_RING * meets(here, at, point, ring, ring)
                cost += _BESIDE_RING * self._beside(n, at, point, 2 * self._lettering.gap)
        return cost

    def _between(self, n: int, at: Place, other: int) -> float:
        """How much a label at a place, and the line to it, are in the way of another's."""
        here, there, label = self.points[n], self.points[other], self.labels[other]
        half, wide, tall = self._half[n], self._half[other], self._tall
        dx, dy = abs(at[0] - label[0]), abs(at[1] - label[1])
        gap = self._lettering.gap
        if dx < half + wide + gap and dy < 2 * tall + gap:
            return _LABELS
        found = 0.0
        if meets(here, at, label, wide + 2, tall + 2) or meets(
            there, label, at, half + 2, tall + 2
        ):
            found += _THROUGH
        if _cross(here, at, there, label):
            found += _CROSSED * self._ease
        thumb = _THUMB * self._lettering.high
        return found + self._ease * _NARROW * (dx < half + wide + thumb and dy < 2 * tall + thumb)


def _pair(one: int, other: int) -> tuple[int, int]:
    return (one, other) if one > other else (other, one)


def meets(a: Place, b: Place, middle: Place, half: float, tall: float) -> bool:
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


def _cross(a: Place, b: Place, c: Place, d: Place) -> bool:
    """Whether two lines cross."""

    def side(p: Place, q: Place, r: Place) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
