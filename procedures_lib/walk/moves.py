"""What has to be put back so that a car can leave as it came, and with which move."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from procedures_lib.language.entities.car import (
    TORQUE_FREE_KINDS,
    Connection,
    Fastener,
    Fluid,
    Opening,
    Part,
)
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk.progress import Run
from procedures_lib.walk.state import (
    AIR,
    BATTERY,
    BRAKE_TEST,
    CALIBRATION,
    EMPTY,
    ENGINE,
    FITTED,
    FUEL_TEST,
    GONE,
    IS_COVERED,
    IS_RAISED,
    IS_SAFE,
    IS_YES,
    LIFTED,
    MADE,
    TIGHT,
    VEHICLE,
)

_HOME = {"part": FITTED, "connection": MADE, "fastener": TIGHT}


@dataclass(frozen=True, slots=True)
class Move:
    """One action on the way back; ``new`` says that a new one has to be got for it."""

    verb: str
    thing: str
    new: bool = False

    def __str__(self) -> str:
        """The action as a writer writes it."""
        return f"{self.verb} {self.thing}"


def state_of(run: Run, name: str, cars: Region) -> str:
    """Return the state of a thing on one car, "" where the car has none."""
    return next((state for _, state, _ in run.track(name).within(cars)), "")


def not_home(run: Run, cars: Region) -> dict[str, str]:
    """Return the things of the car as it came that are not in their place, with their states."""
    found = {}
    for name in run.tracks:
        thing = run.car.things.get(name)
        home = _HOME.get(thing.KIND) if thing is not None and name not in run.car.new else None
        if home is not None:
            state = state_of(run, name, cars)
            if state not in {"", home}:
                found[name] = state
    return found


def move_home(run: Run, name: str, state: str, away: dict[str, str]) -> Move | None:
    """Return the next move that brings a thing home; None when another has to come first."""
    thing = run.car.things[name]
    if isinstance(thing, Part):
        return _part_home(run, thing, state, away)
    if isinstance(thing, Connection):
        return Move("connect", name, state == GONE or not thing.reuse)
    if isinstance(thing, Fastener):
        if any(user in away for user in run.car.users_named.get(name, ())):
            return None
        free = thing.kind in TORQUE_FREE_KINDS or not thing.tighten
        return Move("fit" if free else "tighten", name, not thing.reusable)
    return None


def _part_home(run: Run, part: Part, state: str, away: dict[str, str]) -> Move | None:
    waiting = [
        name
        for name in run.car.connections.get(run.car.line(part.id), ())
        if name in away and getattr(run.car.things[name], "reach", None) == "lifted"
    ]
    if any(child in away for child in run.car.children.get(part.id, ())):
        return None
    if state == LIFTED:
        return None if waiting else Move("seat", part.id)
    return Move("position" if waiting else "fit", part.id, not part.reusable)


def rank(run: Run, name: str, away: dict[str, str]) -> int:
    """Return how early a move may come among those that nothing stands in front of.

    First parts, and lines that are reached only while their part is lifted; then the lines of parts
    that are to be seated; last what holds no modelled thing (a battery terminal, a drain plug).
    """
    thing = run.car.things[name]
    if isinstance(thing, Fastener) and not run.car.users_named.get(name):
        return 2
    if isinstance(thing, Connection) and thing.reach is None:
        return int(any(away.get(end) == LIFTED for end in run.car.ends(thing)))
    return 0


def is_lost(run: Run, name: str, state: str) -> bool:
    """Tell whether a thing is gone that would have been used again."""
    thing = run.car.things[name]
    again = thing.reusable if isinstance(thing, Part | Fastener) else True
    return state == GONE and again


def in_front(run: Run, name: str) -> set[str]:
    """Return the lines that are in front of a thing: it has to be home before they are."""
    thing = run.car.things[name]
    if isinstance(thing, Part):
        return _behind(run, thing)
    found: set[str] = set()
    if isinstance(thing, Connection):
        found = _behind(run, thing)
        for line in run.car.ends(thing):
            part = run.car.things[line]
            found |= _behind(run, part) if isinstance(part, Part) else set()
        return found - set(run.car.ends(thing))
    for user in run.car.users_named.get(name, ()):
        found |= in_front(run, user)
    return found


def _behind(run: Run, thing: Part | Connection) -> set[str]:
    return {run.car.line(str(each)) for each in thing.behind if str(each) in run.car.things}


def covers_on(run: Run, name: str, cars: Region) -> list[Move]:
    """Return the covers that have to come off before a thing closes their openings."""
    return [
        Move("uncover", opening)
        for opening in run.car.openings.get(run.car.line(name), ())
        if isinstance(run.car.things[opening], Opening) and run.where(opening, IS_COVERED, cars)
    ]


def last_moves(run: Run, cars: Region) -> Iterator[Move]:
    """Yield the moves after all is in its place: fluids, wheels, battery, tests."""
    for name, thing in run.car.things.items():
        if isinstance(thing, Fluid) and state_of(run, name, cars) == EMPTY:
            yield Move("fill", name)
        if isinstance(thing, Fluid) and run.where(AIR + name, IS_YES, cars):
            yield Move("bleed", name)
    if BRAKE_TEST in run.tracks and run.where(BRAKE_TEST, IS_YES, cars):
        yield Move("test", "brakes")
    if run.where(VEHICLE, IS_RAISED, cars):
        yield Move("lower", VEHICLE)
    for key in (BATTERY, *(key for key in run.tracks if key not in run.car.things)):
        isolated = " " not in key and key not in {VEHICLE, ENGINE, CALIBRATION}
        if isolated and run.where(key, IS_SAFE, cars):
            yield Move("restore", key)
    if FUEL_TEST in run.tracks and run.where(FUEL_TEST, IS_YES, cars):
        yield Move("test", "leaks fuel")
