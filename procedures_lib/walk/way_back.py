"""The way back to a car that can leave, from any step: proved by walking it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice, product

from procedures_lib.language.entities.car import Fastener, Part
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Action
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.fasteners import used
from procedures_lib.walk.moves import (
    Move,
    covers_on,
    held_for,
    in_front_of,
    in_front_of_fluids,
    last_moves,
    move_home,
    rank,
)
from procedures_lib.walk.open_items import OpenItem, open_items
from procedures_lib.walk.progress import Run
from procedures_lib.walk.states import (
    BATTERY,
    Key,
    Standing,
)
from procedures_lib.walk.walk import Walk, act

MOST_CARS = 64
"""The most different cars that are tried; a page with more ways back than that is unheard of."""


@dataclass(frozen=True, slots=True)
class BackOut:
    """The way back from a step, on one car.

    Either ``moves`` put everything back where it was, or, when that can't be done any more,
    ``steps`` are the numbers of those that finish the job; ``why`` then says what stands against
    going back. ``left`` is what stays open all the same (nothing, on a page without findings).
    """

    moves: tuple[Move, ...] = ()
    steps: tuple[int, ...] = ()
    why: str = ""
    left: tuple[OpenItem, ...] = ()


@dataclass(frozen=True, slots=True)
class Way:
    """A way back, and the cars that it is for ("" for every car)."""

    way: BackOut
    variants: str


States = frozenset[tuple[Key, Standing]]
Known = dict[States, tuple[Move, ...]]
"""The ways back that were found so far on one car, by the states that they start from."""


def ways_from(walked: Walk, step: int, when: Condition = ALWAYS) -> list[Way]:
    """Return the different ways back from a step, each with its cars among those of ``when``."""
    past = walked.after(step)
    wanted = past.all & past.car.space.region(when)
    found: dict[BackOut, Region] = {}
    for car, cars in _cars(past, wanted):
        way = back_out(walked, step, car)
        found[way] = found[way] | cars if way in found else cars
    return [Way(way, walked.run.text(cars & walked.run.all)) for way, cars in found.items()]


def _cars(past: Run, wanted: Region) -> list[tuple[dict[str, str], Region]]:
    """The cars that differ in anything that was changed so far, with all that are like each."""
    named = set(wanted.support())
    for track in past.tracks.values():
        for cars, _, _ in track.pieces:
            named.update(cars.support())
    options = [(option, values) for option, values in past.car.space.options if option in named]
    found = []
    for chosen in islice(product(*(values for _, values in options)), MOST_CARS):
        car = {option: value for (option, _), value in zip(options, chosen, strict=True)}
        alike = wanted
        for option, value in car.items():
            alike = alike & past.car.space.test(option, (value,))
        if alike and alike & one_car(past, car):
            found.append((car, alike))
    return found


def one_car(run: Run, car: Mapping[str, str]) -> Region:
    """Return the set of one car."""
    space, found = run.car.space, run.all
    for option, values in tuple(space.options):
        value = car.get(option)
        if value not in values:
            value = next((v for v in values if found & space.test(option, (v,))), values[0])
        found = found & space.test(option, (str(value),))
    return found


def back_out(
    walked: Walk, step: int, car: Mapping[str, str], known: Known | None = None
) -> BackOut:
    """Return the shortest safe way from a step back to a car that can leave.

    ``car`` gives its options; one that it does not name has its first value. ``known`` is filled
    with what is found, and serves the next call for the same walk and car.
    """
    start = walked.after(step)
    cars = one_car(start, car)
    why = _why_not_back(start, cars)
    if not why:
        moves = _put_back(start, cars, {} if known is None else known)
        if moves is not None:
            return BackOut(moves=moves)
        why = "not everything can be reached again in the order it came off"
    steps = tuple(
        numbered.number
        for numbered in walked.plan.steps
        if numbered.number > step and start.car.space.region(numbered.when) & cars
    )
    return BackOut(steps=steps, why=why, left=tuple(open_items(walked.after(10**9), cars)))


def _why_not_back(run: Run, cars: Region) -> str:
    """Say what stands against going back: what is gone, cut, or already new on the car."""
    for key in run.tracks:
        if key.kind is states.MODIFIED and run.where(key, cars, states.YES):
            return f"`{key.id}` has been modified"
    for key, state in _away(run, cars).items():
        thing = run.car.things[key]
        used_again = thing.reusable if isinstance(thing, Part | Fastener) else True
        if state is states.GONE and used_again:
            return f"{run.does(key, 'is')} gone for good"
    for key in sorted(run.car.new & run.tracks.keys(), key=lambda key: key.id):
        where = cars & run.car.exists(key)
        out = run.where(key, where, *states.IS_OUT)
        if where - out if key.kind is states.FASTENER else run.there(key, cars):
            return f"{run.does(key, 'is')} already on the car"
    return ""


# -- one move after another ------------------------------------------------------------------------


def _put_back(start: Run, cars: Region, known: Known) -> tuple[Move, ...] | None:
    """Put everything back, one move after another that the walk finds nothing wrong with.

    None when something stays open, or when a move leads to a state that was there before.
    """
    run, moves = start.copy(), list[Move]()
    path: dict[States, int] = {}
    while (states := _states(run, cars)) not in known:
        if states in path:
            return None
        path[states] = len(moves)
        chosen = _next(run, cars)
        if chosen is None:
            break
        moves += chosen[0]
        run = chosen[1]
    if states not in known and open_items(run.copy(), cars):
        return None
    moves += known.get(states, ())
    known.update({each: tuple(moves[at:]) for each, at in path.items()})
    return tuple(moves)


def _states(run: Run, cars: Region) -> States:
    """What is not as it was on one car before the first step: what a way back depends on."""
    found = set()
    for key in run.tracks:
        state = _state(run, key, cars)
        begun = next((each for _, each, _ in run.start(key).within(cars)), None)
        if key.kind is not states.TAG and state is not None and state != begun:
            found.add((key, state))
    return frozenset(found)


def _state(run: Run, key: Key, cars: Region) -> Standing | None:
    """Return the state on one car, None where the car has no such thing."""
    return next((state for _, state, _ in run.track(key).within(cars)), None)


def _away(run: Run, cars: Region) -> dict[Key, Standing]:
    """Return the things of the car as it came that are not in their place, with their states."""
    found = {}
    for key in run.tracks:
        if key.kind in states.BOXED and key not in run.car.new:
            state = _state(run, key, cars)
            if state is not None and state is not states.ARRIVES[key.kind]:
                found[key] = state
    return found


def _next(run: Run, cars: Region) -> tuple[list[Move], Run] | None:
    away = _away(run, cars)
    waiting = {front for key in away for front in in_front_of(run, key)}
    waiting |= in_front_of_fluids(run, cars)
    ready: list[list[Move]] = []
    later: list[list[Move]] = []
    terminals: list[list[Move]] = []
    for key, state in sorted(away.items(), key=lambda item: rank(run, item[0], away)):
        move = move_home(run, key, state, away)
        if move is not None:
            moves = held_for(run, [*covers_on(run, key, cars), move], cars)
            if _is_terminal(run, key, cars):
                terminals.append(moves)
            else:
                (later if run.car.line(key) in waiting else ready).append(moves)
    last = [[move] for move in last_moves(run, cars)]
    first = [
        moves
        for moves in last
        if VERBS[moves[0].verb].kinds & {"fluid", "vehicle"} or moves[0].verb in _BEFORE_FLUIDS
    ]
    rest = [moves for moves in last if moves not in first]
    lowered = [moves for moves in first if moves[0].verb == "lower"]
    first = [moves for moves in first if moves not in lowered]
    below = [moves for moves in later if _is_from_below(run, moves)]
    for moves in (*ready, *first, *below, *lowered, *terminals, *rest, *later):
        after = _tried(run, moves, cars)
        if after is not None:
            return moves, after
    return None


_BEFORE_FLUIDS = frozenset({"release", "adjust"})


def _is_from_below(run: Run, moves: list[Move]) -> bool:
    """Tell whether a thing goes home while the car is up, though it hides others."""
    return run.car.keys.get(moves[-1].thing) in run.car.hard_to_reach


def _is_terminal(run: Run, key: Key, cars: Region) -> bool:
    """Tell whether a thing was undone in the step that isolates the battery: it goes on last."""
    isolated = run.track(BATTERY).mark(cars) if BATTERY in run.tracks else None
    mark = run.track(key).mark(cars)
    if isolated is None or mark is None or not run.where(BATTERY, cars, states.SAFE):
        return False
    return mark.step == isolated.step and key.kind is states.FASTENER


def _tried(run: Run, moves: list[Move], cars: Region) -> Run | None:
    """Return the walk after these moves; None when it finds something wrong with them."""
    after = run.copy()
    for move in moves:
        make(after, move, cars)
    return None if after.findings else after


def make(run: Run, move: Move, cars: Region) -> None:
    """Make a move in a walk, with a new thing where it asks for one."""
    if move.new:
        key = run.car.keys[move.thing]
        run.put(key, cars & run.car.exists(key), states.NEW)
        run.put(used(key), cars, states.NO)
    place = run.car.plan.head.place
    objects = (Scalar(move.thing, place.line),)
    act(run, Action(Scalar(move.verb, place.line), objects, place), cars)
