"""The states of things, by kind, and the state of one thing on every car at once."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.findings import Place
from procedures_lib.language.variants.car_sets import Region

Piece = tuple["Region", str, "Mark | None"]


FITTED, LIFTED, OFF, NEW, GONE = "fitted", "lifted", "off", "new", "gone"
"""Of a part; ``new`` lies in the box, ``gone`` is in the scrap or the customer's box."""

MADE, OPEN = "made", "open"
"""Of a connection, beside ``new`` and ``gone``."""

TIGHT, LOOSE, STARTED, OUT = "tight", "loose", "started", "out"
"""Of a group of fasteners, beside ``new``, ``gone`` and ``stage 1``, ``stage 2`` …"""

CLEAR, COVERED = "clear", "covered"
"""Of an opening; whether it is exposed follows from what exposes it."""

FULL, EMPTY = "full", "empty"
"""Of a fluid; whether there is air in it is a state of its own."""

LIVE, SAFE = "live", "safe"
"""Of a hazard."""

ON_WHEELS, RAISED = "on its wheels", "raised"
OLD, LOADED = "old", "new calibration"
NO, YES, DEAD = "no", "yes", "without power"

VEHICLE, BATTERY, ENGINE = "vehicle", "battery", "engine"
FUEL_PRESSURE, CALIBRATION = "fuel-pressure", "calibration"

AIR = "air in "
TAG = "tag on "
PARENT = "what carries "
FUEL_TEST, BRAKE_TEST = "fuel leak test", "brake test"
SOFT_TEST = "brake test with air in the brakes"
"""Names of tracks beside those of things, each before or instead of an id."""

IN_PLACE = frozenset({FITTED, LIFTED})
NOT_THERE = frozenset({OFF, NEW, GONE})
IS_FITTED = frozenset({FITTED})
IS_LIFTED = frozenset({LIFTED})
IS_MADE = frozenset({MADE})
IS_OPEN = frozenset({OPEN})
IS_TIGHT = frozenset({TIGHT})
IS_LOOSE = frozenset({LOOSE})
IS_NEW = frozenset({NEW})
IS_GONE = frozenset({GONE})
IS_COVERED = frozenset({COVERED})
IS_EMPTY = frozenset({EMPTY})
IS_SAFE = frozenset({SAFE})
IS_LIVE = frozenset({LIVE})
IS_RAISED = frozenset({RAISED})
IS_DEAD = frozenset({DEAD})
IS_OLD = frozenset({OLD})
IS_YES = frozenset({YES})
IS_OUT = frozenset({OUT, NEW, GONE})
SLACK = frozenset({LOOSE, STARTED, OUT, NEW, GONE})


def stage_state(stage: int) -> str:
    """Return the state of a group that has reached a stage, but not its last."""
    return f"stage {stage}"


def stage_reached(state: str) -> int:
    """Return the stage that a state stands for, 0 when none."""
    return int(state[6:]) if state.startswith("stage ") else 0


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
