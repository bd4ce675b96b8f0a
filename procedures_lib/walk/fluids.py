"""Fluids: drain, fill, bleed; what runs out, and the tests that show that nothing does."""

from __future__ import annotations

import re
from functools import partial

from procedures_lib.language.entities.car import Connection, Fluid
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.hazards import need
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.progress import Run
from procedures_lib.walk.states import BATTERY, BRAKE_TEST, FUEL_TEST, SOFT_TEST, Key

_SHUT_WHEN_FILLED = frozenset({"coolant", "brake-fluid", "fuel"})
_FUEL = re.compile(r"\bfuel\b(?!-vapour)")
_BRAKES = re.compile(r"\b(?:brakes?|pedal|brake-pedal)\b(?!-)")
_LIQUIDS = {
    "coolant": re.compile(r"\bcoolant\b"),
    "oil": re.compile(r"\boil\b"),
    "brake-fluid": re.compile(r"\bbrake[- ]fluid\b"),
}
"""What is looked for under pressure, besides fuel, whose test is asked for again once a line is
closed. Air may be tried with a line open: that is where the smoke is fed in."""


def air(fluid: Key) -> Key:
    """Return the key of whether there is air in a system."""
    return Key(states.AIR, fluid.id)


def airy(run: Run, fluid: Key, cars: Region) -> Region:
    """Return where a system is empty, or has air in it."""
    return run.where(air(fluid), cars, states.YES) | run.where(fluid, cars, states.EMPTY)


# -- drain, fill, bleed ----------------------------------------------------------------------------


def drain(run: Run, fluid: Fluid, cars: Region) -> None:
    """Empty a system."""
    key = run.car.keys[fluid.id]
    empty = run.where(key, cars, states.EMPTY)
    _nothing(run, key, empty, "is drained already", "leave this out")
    if fluid.kind == "coolant":
        for call in run.car.calls.opening.get(fluid.kind, ()):
            need(run, call, fluid.kind, cars - empty)
    run.put(key, cars, states.EMPTY)


def fill(run: Run, fluid: Fluid, cars: Region) -> None:
    """Fill a system; air comes in with what has to be bled."""
    key = run.car.keys[fluid.id]
    full = cars - run.where(key, cars, states.EMPTY)
    full = full - run.where(air(key), full, states.YES)
    if fluid.place.page in run.car.kit_pages:  # a system that is the kit's is empty at first
        full = full - run.track(key).unchanged(full)
    _nothing(run, key, full, "is full", f"`drain {key}` first, or leave this out")
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


def _nothing(run: Run, key: Key, cars: Region, so: str, hint: str) -> None:
    run.nothing_to_do(key, cars, so, hint, run.car.things[key].place, again=True)


def _nothing_open(run: Run, key: Key, fluid: Fluid, cars: Region) -> None:
    """Find lines that are open, and drain plugs that are out, when a system is filled or bled."""
    for plug in run.car.known(fluid.drain):
        if plug.kind is not states.FASTENER:
            continue
        where = cars & run.car.expected(plug)
        _filled_while_open(run, key, plug, where - run.where(plug, where, states.TIGHT))
    if fluid.kind not in _SHUT_WHEN_FILLED or len(run.car.fluids[fluid.kind]) > 1:
        return
    for line in run.car.carrying.get(fluid.kind, ()):
        has = run.none
        for member in run.car.of_line(line):
            has = has | (cars & _between_parts(run, member))
        if run.touched(line):
            _filled_while_open(run, key, line, has - run.any_there(line, has))


def _between_parts(run: Run, connection: Key) -> Region:
    """Return the cars on which a line has to be connected: its parts are there."""
    where = run.car.expected(connection)
    for line in run.car.ends.get(connection, ()):
        where = where & run.any_there(line, where)
    return where


def _filled_while_open(run: Run, fluid: Key, open_: Key, cars: Region) -> None:
    if cars:
        run.find(
            "filled-while-open", cars,
            f"`{run.verb} {fluid}` while {run.does(open_, 'is')} still open",
            f"close `{open_}` first", run.track(open_).mark(cars), run.car.things[open_].place,
            unless=partial(_never_closed, run, open_),
        )  # fmt: skip


def _never_closed(run: Run, key: Key, cars: Region) -> Region:
    if key.kind is states.FASTENER:
        return cars - run.any_of(run.car.line(key), cars, states.TIGHT)
    return stays_open(run, key, cars)


# -- what an open line lets out, and the tests -----------------------------------------------------


def opened(run: Run, connection: Connection, cars: Region) -> None:
    """Note what an opened line lets out, and lets in."""
    if not cars:
        return
    if connection.carries == "fuel":
        run.put(FUEL_TEST, cars, states.YES)
    elif connection.carries == "brake-fluid":
        run.put(BRAKE_TEST, cars, states.YES)
        for key in run.car.fluids.get("brake-fluid", ()):
            run.put(air(key), cars & run.car.exists(key), states.YES)
    elif connection.carries == "coolant":
        _runs_out(run, connection, cars)


def _runs_out(run: Run, connection: Connection, cars: Region) -> None:
    keys = run.car.fluids.get("coolant", ())
    for key in keys if len(keys) == 1 else ():
        where = cars & run.car.exists(key)
        full = where - run.where(key, where, states.EMPTY)
        if full:
            opened_ = run.does(run.car.keys[connection.id], "is")
            run.find(
                "not-drained", full, f"{opened_} opened with {run.called(key)} still in",
                f"`drain {key}` first", connection.place, run.car.things[key].place,
            )  # fmt: skip
            run.put(key, full, states.EMPTY)


def soft_pedal(run: Run, cars: Region) -> Region:
    """Return where there is air in the brakes: a test of the pedal proves nothing there."""
    found = run.none
    for key in run.car.fluids.get("brake-fluid", ()):
        found = found | run.where(air(key), cars, states.YES)
    return found


def test_of_fluids(run: Run, words: str, cars: Region) -> None:
    """Note what a test proves: no leaks, or brakes that hold."""
    if "leak" in words:
        for carried, word in _LIQUIDS.items():
            for line in run.car.carrying.get(carried, ()) if word.search(words) else ():
                if run.touched(line):
                    _tested_while_open(run, line, carried, cars)
        if _FUEL.search(words):
            due = run.where(FUEL_TEST, cars, states.YES, states.DEAD)
            dead = run.where(BATTERY, due, states.SAFE)
            run.put(FUEL_TEST, dead, states.DEAD)
            run.put(FUEL_TEST, due - dead, states.NO)
    elif _BRAKES.search(words):
        due = run.where(BRAKE_TEST, cars, states.YES)
        soft = soft_pedal(run, due)
        run.put(SOFT_TEST, soft, states.YES)
        run.put(BRAKE_TEST, due - soft, states.NO)


def _tested_while_open(run: Run, line: Key, carried: str, cars: Region) -> None:
    """Find a line that is still open when what it carries is looked for."""
    for key in run.car.of_line(line):
        open_ = run.where(key, cars, states.OPEN)
        open_ = open_ - run.as_begun(key, open_)
        open_ = open_ - run.any_there(line, open_)
        if open_:
            run.find(
                "no-leak-test", open_,
                f"leaks of {carried} are looked for while {run.does(key, 'is')} open",
                f"`connect {key}` first: this test says nothing about it",
                run.track(key).mark(open_), run.car.things[key].place,
                unless=partial(stays_open, run, line),
            )  # fmt: skip
