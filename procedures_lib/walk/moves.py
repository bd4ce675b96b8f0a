"""What can be moved next on the way back: parts home, fasteners in, fluids, supports, tests."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Part
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.circuits import LEAKS, air, untested
from procedures_lib.walk.progress import Run
from procedures_lib.walk.stack import locks, turned_by_another
from procedures_lib.walk.states import BATTERY, BRAKE_TEST, ENGINE, VEHICLE, Key, Standing
from procedures_lib.walk.support import under


@dataclass(frozen=True, slots=True)
class Move:
    """One action on the way back; ``new`` says that a new one has to be got for it."""

    verb: str
    thing: str
    new: bool = False

    def __str__(self) -> str:
        """The action as a writer writes it."""
        return f"{self.verb} {self.thing}"


def move_home(run: Run, key: Key, state: Standing, away: Mapping[Key, Standing]) -> Move | None:
    """Return the next move that brings a thing home; None when another has to come first."""
    thing = run.car.things[key]
    if isinstance(thing, Part):
        return _part_home(run, key, thing, state, away)
    if isinstance(thing, Connection):
        return Move("connect", key.id, state is states.GONE or not thing.reuse)
    if isinstance(thing, Fastener):
        return _fastener_home(run, key, thing, state, away)
    return None


def _fastener_home(
    run: Run, key: Key, group: Fastener, state: Standing, away: Mapping[Key, Standing]
) -> Move | None:
    if any(user in away for user in run.car.users.get(run.car.line(key), ())):
        return None
    under = run.car.stacks.get(key, ())
    if any(away.get(each) in _NOT_IN for each in under):
        return None
    if locks(run, key) and any(each in away for each in under):
        return None
    free = not group.takes_torque or not group.how_tight
    if turned_by_another(run, key):
        return Move("start", key.id, not group.reusable) if state in _NOT_IN else None
    return Move("fit" if free else "tighten", key.id, not group.reusable)


_NOT_IN = (states.OUT, states.GONE, states.OFF)


def _part_home(
    run: Run, key: Key, part: Part, state: Standing, away: Mapping[Key, Standing]
) -> Move | None:
    waiting = [
        each
        for each in run.car.connections.get(run.car.line(key), ())
        if each in away and getattr(run.car.things[each], "reach", None) == "lifted"
    ]
    if any(child in away for child in run.car.children.get(key, ())):
        return None
    if state is states.LIFTED:
        return None if waiting else Move("seat", key.id)
    return Move("position" if waiting else "fit", key.id, not part.reusable)


def rank(run: Run, key: Key, away: Mapping[Key, Standing]) -> int:
    """Return how early a move may come among those that nothing stands in front of.

    First parts, and lines that are reached only while their part is lifted; then the lines of parts
    that are to be seated; last what holds no modelled thing (a battery terminal, a drain plug).
    """
    thing = run.car.things[key]
    if isinstance(thing, Fastener) and not run.car.users_named.get(key):
        return 2
    if isinstance(thing, Connection) and thing.reach is None:
        return int(any(away.get(end) is states.LIFTED for end in run.car.ends[key]))
    return 0


def in_front_of(run: Run, key: Key) -> set[Key]:
    """Return the lines that are in front of a thing: it has to be home before they are."""
    fronts = (*run.car.behind.get(key, ()), *run.car.hidden.get(key, ()))
    found = {run.car.line(front) for front in fronts}
    if key.kind is states.CONNECTION:
        ends = run.car.ends[key]
        for end in ends:
            found |= {run.car.line(front) for front in run.car.behind.get(end, ())}
        found -= set(ends)
    elif key.kind is states.FASTENER:
        for user in run.car.users.get(run.car.line(key), ()):
            found |= in_front_of(run, user)
    return found


def in_front_of_fluids(run: Run, cars: Region) -> set[Key]:
    """Return the lines that hide what an empty system is filled through."""
    ways = (
        way
        for key, fluid in run.car.of_kind(Fluid)
        if key in run.tracks and run.where(key, cars, states.EMPTY)
        for way in run.car.known((*fluid.fill, *fluid.drain))
    )
    return {run.car.line(front) for way in ways for front in run.car.hidden.get(way, ())}


def covers_on(run: Run, key: Key, cars: Region) -> list[Move]:
    """Return the covers that have to come off before a thing closes their openings."""
    return [
        Move("uncover", opening.id)
        for opening in run.car.openings.get(run.car.line(key), ())
        if run.where(opening, cars, states.COVERED)
    ]


def last_moves(run: Run, cars: Region) -> Iterator[Move]:
    """Yield the moves after all is in its place: supports, settings, fluids, wheels, tests."""
    tracks = list(run.tracks)
    for kind, verb in ((states.SUPPORT, "release"), (states.SETTING, "adjust")):
        yield from (
            Move(verb, key.id)
            for key in tracks
            if key.kind is kind and run.where(key, cars, states.YES)
        )
    for key in [key for key in run.car.things if key.kind is states.FLUID]:
        yield from _filled(run, key, cars)
    if run.where(BRAKE_TEST, cars, states.YES):
        yield Move("test", "brakes")
    if run.where(VEHICLE, cars, states.RAISED):
        yield Move("lower", VEHICLE.id)
    for key in (BATTERY, *tracks):
        if key.kind is states.HAZARD and key != ENGINE and run.where(key, cars, states.SAFE):
            yield Move("restore", key.id)
    yield from (Move("test", f"leaks {each}") for each in LEAKS if untested(run, each, cars))


def _filled(run: Run, key: Key, cars: Region) -> Iterator[Move]:
    """Yield what a fluid needs: to be filled, bled, topped up."""
    if run.where(key, cars, states.EMPTY):
        yield Move("fill", key.id)
    if run.where(air(key), cars, states.YES):
        yield Move("bleed", key.id)
    if run.where(key, cars, states.LOW):
        yield Move("top-up", key.id)


def held_for(run: Run, moves: list[Move], cars: Region) -> list[Move]:
    """Return moves that bring a heavy part home, with what holds it put under it first."""
    key = run.car.keys.get(moves[-1].thing)
    part = run.car.things[key] if key is not None else None
    moved = moves[-1].verb in {"fit", "position"}
    if not moved or key is None or not isinstance(part, Part) or not part.is_heavy:
        return moves
    if run.where(under(key), cars, states.YES):
        return moves
    return [*moves[:-1], Move("support", key.id), moves[-1]]
