"""What has a state in a walk, which states there are, and the state of one thing on every car."""

from __future__ import annotations

from enum import Enum
from typing import Final, NamedTuple, TypeAlias

from procedures_lib.findings import Place
from procedures_lib.language.variants.car_sets import Region


class Kind(Enum):
    """What a key is the key of: a thing of the car, the car itself, or something about a thing.

    The value is how the key begins as a text, where it is about a thing.
    """

    PART = "part"
    CONNECTION = "connection"
    FASTENER = "fastener"
    OPENING = "opening"
    FLUID = "fluid"
    HAZARD = "hazard"
    VEHICLE = "vehicle"
    CALIBRATION = "calibration"
    TEST = "test"

    AIR = "air in"
    TAG = "tag on"
    CARRIER = "what carries"
    USED = "used"
    MODIFIED = "modified"
    SUPPORT = "support under"
    BENCH = "made on the bench"
    SETTING = "setting of"

    __hash__ = object.__hash__  # keys are looked up all the time, and Enum's own is slow


(
    PART, CONNECTION, FASTENER, OPENING, FLUID, HAZARD, _, _, TEST, AIR, TAG, CARRIER, USED,
    MODIFIED, SUPPORT, BENCH, SETTING,
) = Kind  # fmt: skip
"""The same by their names alone: Python 3.11 looks up `Kind.PART` ten times as slowly."""

_ABOUT = frozenset({AIR, TAG, CARRIER, USED, MODIFIED, SUPPORT, BENCH, SETTING})


class Key(NamedTuple):
    """What a state is the state of. As a text it is the thing's id, or what of that thing."""

    kind: Kind
    id: str

    def __str__(self) -> str:
        """`bumper`, but `air in coolant`."""
        return f"{self.kind.value} {self.id}" if self.kind in _ABOUT else self.id


VEHICLE: Final = Key(Kind.VEHICLE, "vehicle")
CALIBRATION: Final = Key(Kind.CALIBRATION, "calibration")
BATTERY: Final = Key(HAZARD, "battery")
ENGINE: Final = Key(HAZARD, "engine")
BRAKE_TEST: Final = Key(TEST, "brake test")
PARTS_TEST: Final = Key(TEST, "brake test after parts were off")
ON_STANDS: Final = Key(TEST, "what the car stands on")
SOFT_TEST: Final = Key(TEST, "brake test with air in the brakes")


class State(Enum):
    """The states, but for two that are values of their own: a stage, and what carries a part."""

    # of a part; NEW lies in the box, GONE is in the scrap or the customer's box
    FITTED = "fitted"
    LIFTED = "lifted"
    OFF = "off"
    NEW = "new"
    GONE = "gone"
    # of a connection, beside NEW and GONE
    MADE = "made"
    OPEN = "open"
    # of a group of fasteners, beside NEW, GONE and the stages that it has reached
    TIGHT = "tight"
    LOOSE = "loose"
    STARTED = "started"
    OUT = "out"
    # of an opening; whether it is exposed follows from what exposes it
    CLEAR = "clear"
    COVERED = "covered"
    # of a fluid; whether there is air in it has a key of its own
    FULL = "full"
    EMPTY = "empty"
    LOW = "low"
    # of a hazard
    LIVE = "live"
    SAFE = "safe"
    # of the car, and of its calibration
    ON_WHEELS = "on its wheels"
    RAISED = "raised"
    OLD = "old"
    LOADED = "new calibration"
    # of what is asked for: a test that is due, air in a system, a tag; DEAD: tested without power
    NO = "no"
    YES = "yes"
    DEAD = "without power"
    # of what carries a part, when that is not modelled
    NOTHING = ""

    __hash__ = object.__hash__

    def __str__(self) -> str:
        """The state in words."""
        return str(self.value)


(
    FITTED, LIFTED, OFF, NEW, GONE, MADE, OPEN, TIGHT, LOOSE, STARTED, OUT, CLEAR, COVERED,
    FULL, EMPTY, LOW, LIVE, SAFE, ON_WHEELS, RAISED, OLD, LOADED, NO, YES, DEAD, NOTHING,
) = State  # fmt: skip
"""The same by their names alone, as above."""


class StageReached(NamedTuple):
    """The state of a group that has reached a stage (from 1), but not its last."""

    number: int

    def __str__(self) -> str:
        """`stage 2`."""
        return f"stage {self.number}"


Standing: TypeAlias = State | StageReached | Key
"""A state; of what carries a part it is the key of the part that does, if any."""

BOXED: Final = frozenset({PART, CONNECTION, FASTENER})
"""What a kit may hold."""

ARRIVES: Final = {
    PART: FITTED,
    CONNECTION: MADE,
    FASTENER: TIGHT,
    OPENING: CLEAR,
    FLUID: FULL,
    HAZARD: LIVE,
    Kind.VEHICLE: ON_WHEELS,
    Kind.CALIBRATION: OLD,
}
"""How each kind of thing is on the car as it arrives."""

UNDONE: Final = {PART: OFF, CONNECTION: OPEN, FASTENER: OUT, FLUID: EMPTY}
"""How each is when it was taken off, opened, taken out or drained."""

IN_PLACE: Final = (FITTED, LIFTED)
NOT_THERE: Final = (OFF, NEW, GONE)
IS_OUT: Final = (OUT, NEW, GONE)
SLACK: Final = (LOOSE, STARTED, *IS_OUT)
THERE: Final[dict[Kind, tuple[State, ...]]] = {PART: IN_PLACE, CONNECTION: (MADE,)}
"""The states in which a part or connection does what it is there for: carries, covers, closes."""


class Mark(NamedTuple):
    """Where a thing was last changed: the step's number, and the action's place.

    ``place`` is on the procedure's own page; ``inner`` is the action's line on the page of common
    steps that it comes from.
    """

    step: int
    place: Place
    inner: Place | None = None


Piece: TypeAlias = tuple[Region, Standing, Mark | None]
"""Cars, their state, and where it was last changed."""


class Track:
    """The state of one thing, as disjoint pieces; the last change is None at the start."""

    __slots__ = ("pieces",)

    def __init__(self, cars: Region, state: Standing) -> None:
        """All of ``cars`` begin in one state."""
        self.pieces: list[Piece] = [(cars, state, None)] if cars else []

    def copy(self) -> Track:
        """Return a state of its own that is the same now."""
        made = Track.__new__(Track)
        made.pieces = list(self.pieces)
        return made

    def put(self, cars: Region, state: Standing, mark: Mark | None) -> None:
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

    def where(self, states: tuple[Standing, ...], cars: Region) -> Region:
        """Return which of these cars are in one of the states."""
        found = cars.space.none
        for piece in self.pieces:
            if piece[1] in states:
                found = found | (piece[0] & cars)
        return found

    def unchanged(self, cars: Region) -> Region:
        """Return which of these cars are as they were at the start."""
        found = cars.space.none
        for piece in self.pieces:
            if piece[2] is None:
                found = found | (piece[0] & cars)
        return found

    def mark(self, cars: Region) -> Mark | None:
        """Return the last change on any of these cars."""
        marks = [piece[2] for piece in self.pieces if piece[2] is not None and piece[0] & cars]
        return max(marks, key=lambda mark: mark.step, default=None)
