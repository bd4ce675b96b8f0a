"""Where the labels of a picture's marks stand: beside their points, covering next to nothing."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache, partial

from procedures_lib.view.picture import Mark
from procedures_lib.view.picture_crowd import MOST_PLACED, Place, cross, meets, nearest, outlines


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


PHONE = 358.0
"""CSS pixels: how wide a picture is on a phone of 390."""

LETTERING = Lettering(ring=9.0, high=28.0, letter=11.0, gap=4.0)
"""How large labels are on a screen, in CSS pixels."""

_WAYS = 16
"""In how many directions from its point a label is tried."""

_STEPS = (0.0, 0.5, 1.0, 1.7, 2.5, 3.5, 5.0, 7.0)
"""How far from its ring a label is tried, in heights of it."""

_LATTICE = 0.45
"""Places all over the sheet, for each half of a label's width and height."""

_ROUNDS = 30
_LOOKS = 1500
"""For each mark: how many looks at another are spent on moving labels out of each other's way."""

_EASED = 0.05
"""How much what may be counts where two labels stay in each other's way."""

_NEAR = 45.0
"""Units: points nearer than that to those of labels in each other's way are of the same crowd."""

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
    line to one runs through another, and nothing leaves the sheet, as far as it has the room
    (:func:`in_the_way`); lines are short, and cross where they must. The same marks always get the
    same places.
    """
    board = _Board(marks, scale, sheet, lettering)
    if len(marks) <= MOST_PLACED:
        board.settle()
    return tuple(map(Placed, marks, board.points, board.labels))


def in_the_way(
    marks: tuple[Mark, ...], scale: float, sheet: Place, lettering: Lettering
) -> tuple[Mark, ...]:
    """Return the marks whose labels cover something, or have a line through them, on a sheet."""
    if len(marks) > MOST_PLACED:
        return marks
    board = _Board(marks, scale, sheet, lettering)
    board.labels = [each.label for each in placed(marks, scale, sheet, lettering)]
    found = {n for pair in board.clashes() for n in pair}
    found |= {n for n, at in enumerate(board.labels) if board.covered(n, at)}
    return tuple(marks[n] for n in sorted(found))


def line_of(each: Placed, lettering: Lettering) -> tuple[Place, Place]:
    """Return the line of a label: from the edge of its ring to where the label is nearest."""
    (x, y), half = each.point, lettering.wide(each.mark.label) / 2
    end = nearest(each.point, each.label, half, lettering.high / 2)
    far = math.dist(each.point, end)
    if not far:
        return each.point, each.point
    part = lettering.ring / far
    return (x + (end[0] - x) * part, y + (end[1] - y) * part), end


class _Board:
    """A sheet while labels are put on it: ``labels`` are their middles, by number of mark.

    Places are looked for as in the breakout method (Morris, AAAI-93): each label goes where it is
    least in the way; where none can do better and two are still in each other's way, that pair
    counts for more from then on, until one of them gives way. A crowd that does not part so is
    set out on an outline about it.
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
        self._alone_cost: dict[tuple[int, Place], float] = {}
        self._ease = 1.0
        self._left = 0
        self._weights: dict[tuple[int, int], float] = defaultdict(lambda: 1.0)

    def settle(self) -> None:
        """Find a place for each label."""
        numbers = range(len(self.points))
        self._choices = [sorted(self._worth(n)) for n in numbers]
        for n in sorted(numbers, key=lambda n: (len(self._choices[n]), n)):
            self._put(n)
            self._standing.append(n)
        if self.clashes():
            self._set_out()
        self._left = _LOOKS * len(self.points)
        self._part()
        for n in numbers:
            self._put(n)

    def _part(self) -> None:
        """Move labels out of each other's way."""
        best, least = list(self.labels), len(self.clashes())
        for tries in range(_ROUNDS):
            self._ease = 1.0 if tries < 3 else _EASED
            clashes = self.clashes()
            if len(clashes) < least:
                best, least = list(self.labels), len(clashes)
            if not clashes or self._left < 0:
                break
            moved = [self._put(n) for n in sorted({n for pair in clashes for n in pair})]
            if not any(moved):
                for pair in clashes:
                    self._weights[pair] += 1
        self.labels, self._ease = best, 1.0
        self._weights.clear()

    def _set_out(self) -> None:
        """Set the labels of a crowd out on an outline about it, where that is better."""
        best, least = list(self.labels), len(self.clashes())
        for crowd in self._crowds():
            others = [n for n in range(len(self.points)) if n not in crowd]
            size = 2 * max(self._half[n] for n in crowd), 2 * self._tall
            points = [self.points[n] for n in crowd]
            is_free = partial(self._is_free, crowd, others)
            ways = outlines(points, size, self._sheet, self._lettering.gap, is_free)
            for way in ways:
                for n, at in zip(crowd, way, strict=True):
                    self.labels[n] = at
                clashes = len(self.clashes())
                if clashes < least:
                    best, least = list(self.labels), clashes
                if not clashes:
                    return
            self.labels = list(best)

    def _crowds(self) -> Iterator[list[int]]:
        """Yield the marks in each other's way with those about them, and then all marks."""
        crowd = {n for pair in self.clashes() for n in pair}
        waiting = list(crowd)
        while waiting:
            here = self.points[waiting.pop()]
            near = {n for n, at in enumerate(self.points) if math.dist(here, at) < _NEAR} - crowd
            crowd |= near
            waiting += near
        yield sorted(crowd)
        if len(crowd) < len(self.points):
            yield [*range(len(self.points))]

    def _is_free(self, crowd: list[int], others: list[int], at: Place) -> bool:
        """Whether the widest label of a crowd may stand at a place, by all that stays."""
        n = max(crowd, key=lambda n: self._half[n])
        if self.covered(n, at):
            return False
        half, gap = self._half[n], self._lettering.gap
        for other in others:
            (x, y), wide = self.labels[other], self._half[other]
            if abs(at[0] - x) < half + wide + gap and abs(at[1] - y) < 2 * self._tall + gap:
                return False
            if meets(self.points[other], self._end(other, (x, y)), at, half + 2, self._tall + 2):
                return False
        return True

    def clashes(self) -> list[tuple[int, int]]:
        """The pairs of labels that are in each other's way."""
        numbers, labels = range(len(self.points)), self.labels
        ends = [self._end(n, labels[n]) for n in numbers]
        return [(n, other) for n in numbers for other in range(n)
                if self._between(n, labels[n], ends[n], other) >= _HARD]  # fmt: skip

    def _end(self, n: int, at: Place) -> Place:
        """Where the line to a label ends, if it stands at a place."""
        return nearest(self.points[n], at, self._half[n], self._tall)

    def _put(self, n: int) -> bool:
        """Put a label where it costs least, and say whether that is elsewhere."""
        before, least = self.labels[n], math.inf
        best, others = before, [other for other in self._standing if other != n]
        if len(others) < len(self._standing):
            least = self._cost(n, _FAR * math.dist(before, self.points[n]), before, others, least)
        for far, at in self._choices[n]:
            if far * self._ease >= least:
                break
            cost = self._cost(n, far, at, others, least)
            if cost < least:
                best, least = at, cost
        self.labels[n] = best
        return best != before

    def _cost(self, n: int, far: float, at: Place, others: list[int], least: float) -> float:
        """What a place costs a label among others; no more is reckoned than what is the least."""
        cost, end = self._alone(n, far, at) * self._ease, self._end(n, at)
        for other in others:
            if cost >= least:
                break
            self._left -= 1
            cost += self._between(n, at, end, other) * self._weights.get(_pair(n, other), 1.0)
        return cost

    def _worth(self, n: int) -> Iterator[tuple[float, Place]]:
        """Yield the places that a label may have on an empty sheet, with what their length costs.

        Where all of them cover a point, those that cover fewest.
        """
        found = [(self.covered(n, at), at) for at in dict.fromkeys(self._tried(n))]
        least = min((covered for covered, _ in found), default=0)
        for covered, at in found:
            if covered == least:
                yield _FAR * math.dist(at, self.points[n]), at
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

    def covered(self, n: int, at: Place) -> int:
        """How many rings a label would touch."""
        return self._rings_within(n, at, self._lettering.ring + 1.0)

    def _rings_within(self, n: int, at: Place, room: float) -> int:
        (x, y), wide, high = at, self._half[n] + room, self._tall + room
        return sum(abs(x - px) < wide and abs(y - py) < high for px, py in self.points)

    def _alone(self, n: int, far: float, at: Place) -> float:
        """What a place costs a label on an empty sheet; ``far`` is what its line costs."""
        key = n, at
        if key not in self._alone_cost:
            here, ring, end = self.points[n], self._lettering.ring, self._end(n, at)
            over = sum(
                point != here and meets(here, end, point, ring, ring) for point in self.points
            )
            room = ring + 2 * self._lettering.gap
            beside = self._rings_within(n, at, room) - self._rings_within_own(n, at, room)
            self._alone_cost[key] = far + _OVER_RING * over + _BESIDE_RING * beside
        return self._alone_cost[key]

    def _rings_within_own(self, n: int, at: Place, room: float) -> int:
        """How many of the rings about a label are at its own point."""
        (x, y), here = at, self.points[n]
        if abs(x - here[0]) >= self._half[n] + room or abs(y - here[1]) >= self._tall + room:
            return 0
        return self.points.count(here)

    def _between(self, n: int, at: Place, end: Place, other: int) -> float:
        """How much a label at a place, and the line to it, are in the way of another's."""
        here, there, label = self.points[n], self.points[other], self.labels[other]
        half, wide, tall = self._half[n], self._half[other], self._tall
        dx, dy = abs(at[0] - label[0]), abs(at[1] - label[1])
        gap = self._lettering.gap
        if dx < half + wide + gap and dy < 2 * tall + gap:
            return _LABELS
        found, other_end = 0.0, self._end(other, label)
        if meets(here, end, label, wide + 2, tall + 2) or meets(
            there, other_end, at, half + 2, tall + 2
        ):
            found += _THROUGH
        if cross(here, end, there, other_end):
            found += _CROSSED * self._ease
        thumb = _THUMB * self._lettering.high
        return found + self._ease * _NARROW * (dx < half + wide + thumb and dy < 2 * tall + thumb)


def _pair(one: int, other: int) -> tuple[int, int]:
    return (one, other) if one > other else (other, one)
