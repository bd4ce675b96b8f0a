"""The state of one thing, on every car at once: a partition of the cars by state."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from procedures_lib.findings import Place
    from procedures_lib.variants.region import Region

    Piece = tuple["Region", str, "Mark | None"]


@dataclass(frozen=True, slots=True)
class Mark:
    """Where a thing was last changed: the step's number, and the action's place.

    ``place`` is on the procedure's own page; ``inner`` is the action's line on the page of common
    steps that it comes from.
    """

    step: int
    place: Place
    inner: Place | None = None


class Track:
    """``pieces`` are (cars, state, last change), disjoint; the change is None at the start."""

    __slots__ = ("pieces",)

    def __init__(self, cars: Region, state: str) -> None:
        """All of ``cars`` begin in one state."""
        self.pieces: list[Piece] = [(cars, state, None)] if cars else []

    def put(self, cars: Region, state: str, mark: Mark | None) -> None:
        """Move these cars to a state."""
        pieces = self.pieces
        if len(pieces) == 1 and pieces[0][0] is cars:
            self.pieces = [(cars, state, mark)]
            return
        left: list[Piece] = []
        for piece in pieces:
            rest = piece[0] - cars
            if rest:
                left.append((rest, piece[1], piece[2]))
        left.append((cars, state, mark))
        self.pieces = left

    def within(self, cars: Region) -> list[Piece]:
        """Return the pieces of these cars."""
        found = []
        for piece in self.pieces:
            both = piece[0] & cars
            if both:
                found.append((both, piece[1], piece[2]))
        return found

    def where(self, states: frozenset[str], cars: Region) -> Region:
        """Return which of these cars are in one of the states."""
        found = cars.space.none
        for piece in self.pieces:
            if piece[1] in states:
                found = found | (piece[0] & cars)
        return found

    def mark(self, cars: Region) -> Mark | None:
        """Return the last change on any of these cars."""
        marks = [piece[2] for piece in self.pieces if piece[2] is not None and piece[0] & cars]
        return max(marks, key=lambda mark: mark.step, default=None)
