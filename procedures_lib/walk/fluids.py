"""Fluids: drain, fill, bleed, top up; what has to be closed before, and full before use."""

from __future__ import annotations

from functools import partial

from procedures_lib.language.entities.car import Fluid
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.box import line_gone
from procedures_lib.walk.circuits import air, drained
from procedures_lib.walk.hazards import need
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import hidden_or_below
from procedures_lib.walk.states import Key

_SHUT_WHEN_FILLED = frozenset({"coolant", "brake-fluid", "fuel", "oil", "hydraulic"})


def airy(run: Run, fluid: Key, cars: Region) -> Region:
    """Return where a system is empty, or has air in it."""
    return run.where(air(fluid), cars, states.YES) | run.where(fluid, cars, states.EMPTY)


def low(run: Run, fluid: Key, cars: Region) -> Region:
    """Return where a system lost some of what is in it, and nobody looked at its level."""
    return run.where(fluid, cars, states.LOW)


# -- drain, fill, bleed ----------------------------------------------------------------------------


def drain(run: Run, fluid: Fluid, cars: Region) -> None:
    """Empty a system."""
    key = run.car.keys[fluid.id]
    empty = run.where(key, cars, states.EMPTY)
    _nothing(run, key, empty, "is drained already", "leave this out")
    _reached(run, fluid.drain, cars)
    if fluid.kind == "coolant":
        for call in run.car.calls.opening.get(fluid.kind, ()):
            need(run, call, fluid.kind, cars - empty)
    run.put(key, cars, states.EMPTY)
    drained(run, fluid, cars - empty)


def _reached(run: Run, through: tuple[str, ...], cars: Region) -> None:
    """Judge whether one gets at what a system is drained or filled through."""
    for key in run.car.known(through):
        hidden_or_below(run, key, cars & run.car.exists(key))


def fill(run: Run, fluid: Fluid, cars: Region) -> None:
    """Fill a system; air comes in with what has to be bled."""
    key = run.car.keys[fluid.id]
    full = cars - run.where(key, cars, states.EMPTY, states.LOW)
    full = full - run.where(air(key), full, states.YES)
    if fluid.place.page in run.car.kit_pages:  # a system that is the kit's is empty at first
        full = full - run.track(key).unchanged(full)
    _nothing(run, key, full, "is full", f"`drain {key}` first, or leave this out")
    _reached(run, fluid.fill, cars)
    _nothing_open(run, key, fluid, cars)
    if fluid.needs_bleeding:
        run.put(air(key), cars, states.YES)
    run.put(key, cars, states.FULL)


def bleed(run: Run, fluid: Fluid, cars: Region) -> None:
    """Let the air out of a system."""
    key = run.car.keys[fluid.id]
    empty = run.where(key, cars, states.EMPTY)
    _nothing(run, key, empty, "is still drained", f"`fill {key}` first")
    run.put(key, empty, states.FULL)
    _nothing_open(run, key, fluid, cars - empty)
    run.put(air(key), cars, states.NO)


def top_up(run: Run, fluid: Fluid, cars: Region) -> None:
    """Bring a system that is not empty up to its mark."""
    key = run.car.keys[fluid.id]
    empty = run.where(key, cars, states.EMPTY)
    _nothing(run, key, empty, "is still drained", f"`fill {key}` first")
    _reached(run, fluid.fill, cars)
    run.put(key, cars, states.FULL)


def looked_at(run: Run, key: Key, cars: Region) -> None:
    """Take the level of a system that lost some as looked at."""
    run.put(key, run.where(key, cars, states.LOW), states.FULL)


def _nothing(run: Run, key: Key, cars: Region, so: str, hint: str) -> None:
    run.nothing_to_do(key, cars, so, hint, run.car.things[key].place, again=True)


# -- what has to be closed -------------------------------------------------------------------------


def _nothing_open(run: Run, key: Key, fluid: Fluid, cars: Region) -> None:
    """Find what is open in a system, with what holds it, when the system is filled or bled."""
    for open_, where in open_in(run, fluid, cars):
        run.find(
            "filled-while-open", where,
            f"`{run.verb} {key}` while {run.does(open_, 'is')} still open",
            f"close `{open_}` first", run.track(open_).mark(where), run.car.things[open_].place,
            unless=partial(_never_closed, run, open_),
        )  # fmt: skip


def open_in(run: Run, fluid: Fluid, cars: Region) -> list[tuple[Key, Region]]:
    """Return what is open in a system, with the cars: drains, lines, what holds a line.

    A part or connection that a system is filled through has to be there as well.
    """
    found = []
    for plug in run.car.known(fluid.drain):
        where = cars & run.car.expected(plug)
        if plug.kind is states.FASTENER:
            found.append((plug, where - run.where(plug, where, states.TIGHT)))
        elif plug.kind in states.THERE and run.touched(plug):
            found.append((plug, where - run.any_there(plug, where)))
    for way in run.car.known(fluid.fill):
        if way.kind in states.THERE and run.touched(way):
            where = cars & run.car.expected(way)
            found.append((way, where - run.any_there(way, where)))
    if fluid.kind in _SHUT_WHEN_FILLED and len(run.car.fluids[fluid.kind]) == 1:
        for line in run.car.carrying.get(fluid.kind, ()):
            if run.touched(line):
                found += _open_line(run, line, cars)
    return [(key, where) for key, where in found if where]


def _open_line(run: Run, line: Key, cars: Region) -> list[tuple[Key, Region]]:
    """Return where a line is not made, a part at its end is off, or what holds it not tight."""
    found = []
    wanted = run.none
    for member in run.car.of_line(line):
        here = cars & run.car.expected(member)
        wanted = wanted | (here - run.where(member, here, states.GONE))
    made = run.any_there(line, wanted)
    found.append((line, wanted - made))
    for member in run.car.of_line(line):
        made = run.where(member, cars, states.MADE)
        for end in run.car.ends.get(member, ()) if made else ():
            away = made - run.any_there(end, made)
            found.append((line, away - line_gone(run, end, away)))
        for holder in run.car.holders.get(member, ()) if made else ():
            here = made & run.car.expected(holder)
            loose = run.unforgiven(holder, here - run.where(holder, here, states.TIGHT))
            found.append((holder, loose))
    return found


def _never_closed(run: Run, key: Key, cars: Region) -> Region:
    found_before = run.forgiven.get(key, run.none) & cars
    if key.kind is states.FASTENER:
        return found_before | (cars - run.any_of(run.car.line(key), cars, states.TIGHT))
    return found_before | stays_open(run, key, cars)
