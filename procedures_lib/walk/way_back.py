"""The way back to a car that can leave, from any step: proved by walking it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice, product

from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.work import Action
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk.actions import act
from procedures_lib.walk.moves import (
    Move,
    covers_on,
    in_front,
    is_lost,
    last_moves,
    move_home,
    not_home,
    rank,
    state_of,
)
from procedures_lib.walk.open_items import OpenItem, open_items
from procedures_lib.walk.progress import Run
from procedures_lib.walk.state import BATTERY, IN_PLACE, IS_MADE, IS_OUT, IS_SAFE, NEW, TAG, VEHICLE
from procedures_lib.walk.walk import Walk

_FLUIDS = frozenset({"fill", "bleed"})
"""What is done to fluids before the car comes down."""


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


Known = dict[tuple[tuple[str, str], ...], tuple[Move, ...]]
"""The ways back that were found so far on one car, by the state that they start from."""


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
        if numbered.number > step and _applies(start, numbered.when, cars)
    )
    return BackOut(steps=steps, why=why, left=tuple(open_items(walked.after(10**9), cars)))


def one_car(run: Run, car: Mapping[str, str]) -> Region:
    """Return the set of one car."""
    space, found = run.car.space, run.all
    for option, values in tuple(space.options):
        value = car.get(option)
        if value not in values:
            value = next((v for v in values if found & space.test(option, (v,))), values[0])
        found = found & space.test(option, (str(value),))
    return found


def _applies(run: Run, when: Condition, cars: Region) -> bool:
    return bool(run.car.space.region(when) & cars)


def _why_not_back(run: Run, cars: Region) -> str:
    """Say what stands against going back: what is gone, cut, or already new on the car."""
    for name in run.tracks:
        if name.startswith("modified ") and run.where(name, frozenset({"yes"}), cars):
            return f"`{name.removeprefix('modified ')}` has been modified"
    for name, state in not_home(run, cars).items():
        if is_lost(run, name, state):
            return f"{run.does(name, 'is')} gone for good"
    for name in sorted(run.car.new & run.tracks.keys()):
        here = run.where(name, IN_PLACE | IS_MADE, cars)
        if run.car.things[name].KIND == "fastener":
            here = (cars & run.car.exists(name)) - run.where(name, IS_OUT, cars)
        if here:
            return f"{run.does(name, 'is')} already on the car"
    return ""


def _put_back(start: Run, cars: Region, known: Known) -> tuple[Move, ...] | None:
    """Put everything back, one move after another that the walk finds nothing wrong with.

    None when something stays open, or when a move leads to a state that was there before.
    """
    run, moves = start.copy(), list[Move]()
    path: dict[tuple[tuple[str, str], ...], int] = {}
    while (state := _state_of_all(run, cars)) not in known:
        if state in path:
            return None
        path[state] = len(moves)
        chosen = _next(run, cars)
        if chosen is None:
            break
        moves += chosen[0]
        run = chosen[1]
    if state not in known and open_items(run.copy(), cars):
        return None
    moves += known.get(state, ())
    known.update({each: tuple(moves[at:]) for each, at in path.items()})
    return tuple(moves)


def _state_of_all(run: Run, cars: Region) -> tuple[tuple[str, str], ...]:
    """What is not as it was on one car before the first step: what a way back depends on."""
    found = []
    for key in run.tracks:
        if key.startswith(TAG):
            continue
        state = state_of(run, key, cars)
        if state != next((s for _, s, _ in run.start(key).within(cars)), ""):
            found.append((key, state))
    return tuple(sorted(found))


def _next(run: Run, cars: Region) -> tuple[list[Move], Run] | None:
    away = not_home(run, cars)
    waiting = {front for name in away for front in in_front(run, name)}
    ready: list[list[Move]] = []
    later: list[list[Move]] = []
    terminals: list[list[Move]] = []
    for name, state in sorted(away.items(), key=lambda item: rank(run, item[0], away)):
        move = move_home(run, name, state, away)
        if move is not None:
            moves = [*covers_on(run, name, cars), move]
            if _is_terminal(run, name, cars):
                terminals.append(moves)
            else:
                (later if run.car.line(name) in waiting else ready).append(moves)
    last = [[move] for move in last_moves(run, cars)]
    first = [moves for moves in last if moves[0].thing == VEHICLE or moves[0].verb in _FLUIDS]
    rest = [moves for moves in last if moves not in first]
    for moves in (*ready, *first, *terminals, *rest, *later):
        after = _tried(run, moves, cars)
        if after is not None:
            return moves, after
    return None


def _is_terminal(run: Run, name: str, cars: Region) -> bool:
    """Tell whether a thing was undone in the step that isolates the battery: it goes on last."""
    isolated = run.track(BATTERY).mark(cars) if BATTERY in run.tracks else None
    mark = run.track(name).mark(cars)
    if isolated is None or mark is None or not run.where(BATTERY, IS_SAFE, cars):
        return False
    return mark.step == isolated.step and isinstance(run.car.things.get(name), Fastener)


def _tried(run: Run, moves: list[Move], cars: Region) -> Run | None:
    """Return the walk after these moves; None when it finds something wrong with them."""
    after = run.copy()
    for move in moves:
        if move.new:
            after.put(move.thing, cars & after.car.exists(move.thing), NEW)
            after.put(f"used {move.thing}", cars, "no")
        act(after, action_of(move, run), cars)
    return None if after.findings else after


def action_of(move: Move, run: Run) -> Action:
    """Return a move as an action of the page language."""
    place = run.car.plan.head.place
    line = place.line
    return Action(Scalar(move.verb, line), (Scalar(move.thing, line),), place)


MOST_CARS = 64
"""The most different cars that are tried; a page with more ways back than that is unheard of."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way back, and the cars that it is for ("" for every car)."""

    way: BackOut
    variants: str


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
