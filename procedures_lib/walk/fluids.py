"""Fluids: drain, fill, bleed, and what an opened line does to them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Fluid
from procedures_lib.walk.hazards import draining
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.states import (
    AIR,
    BRAKE_TEST,
    EMPTY,
    FUEL_TEST,
    FULL,
    IN_PLACE,
    IS_EMPTY,
    IS_MADE,
    IS_TIGHT,
    NO,
    YES,
)

if TYPE_CHECKING:
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run

_SHUT_WHEN_FILLED = frozenset({"coolant", "brake-fluid", "fuel"})


def drain(run: Run, fluid: Fluid, cars: Region) -> None:
    """Empty a system."""
    empty = run.where(fluid.id, IS_EMPTY, cars)
    if empty:
        _nothing(run, fluid, empty, "is drained already", "leave this out")
    draining(run, str(fluid.kind), cars - empty)
    run.put(fluid.id, cars, EMPTY)


def fill(run: Run, fluid: Fluid, cars: Region) -> None:
    """Fill a system; air comes in with what has to be bled."""
    name = fluid.id
    full = cars - run.where(name, IS_EMPTY, cars)
    full = full - run.where(AIR + name, frozenset({YES}), full)
    full = full - _may_be_new(run, fluid, full)
    if full:
        _nothing(run, fluid, full, "is full", f"`drain {name}` first, or leave this out")
    _nothing_open(run, fluid, cars)
    if fluid.needs_bleeding:
        run.put(AIR + name, cars, YES)
    run.put(name, cars, FULL)


def _may_be_new(run: Run, fluid: Fluid, cars: Region) -> Region:
    """Where a system that the kit's page describes has not been touched: it may be the kit's."""
    if fluid.place.page not in run.car.kit_pages:
        return run.none
    found = run.none
    for where, _, mark in run.track(fluid.id).within(cars):
        if mark is None:
            found = found | where
    return found


def bleed(run: Run, fluid: Fluid, cars: Region) -> None:
    """Let the air out of a system."""
    name = fluid.id
    empty = run.where(name, IS_EMPTY, cars)
    if empty:
        _nothing(run, fluid, empty, "is still drained", f"`fill {name}` first")
        run.put(name, empty, FULL)
    _nothing_open(run, fluid, cars - empty)
    run.put(AIR + name, cars, NO)


def opened(run: Run, connection: Connection, cars: Region) -> None:
    """Note what an opened line lets out, and lets in."""
    carries = connection.carries
    if not cars or carries is None:
        return
    if carries == "fuel":
        run.put(FUEL_TEST, cars, YES)
    elif carries == "brake-fluid":
        run.put(BRAKE_TEST, cars, YES)
        for name in run.car.fluids.get("brake-fluid", ()):
            run.put(AIR + name, cars & run.car.exists(name), YES)
    elif carries == "coolant":
        _runs_out(run, connection, cars)


def _runs_out(run: Run, connection: Connection, cars: Region) -> None:
    names = run.car.fluids.get("coolant", ())
    for name in names:
        where = cars & run.car.exists(name)
        full = where - run.where(name, IS_EMPTY, where)
        if full and len(names) == 1:
            run.find(
                "not-drained", full,
                f"{run.does(connection.id, 'is')} opened with {run.called(name)} still in",
                f"`drain {name}` first", connection.place, run.car.things[name].place,
            )  # fmt: skip
            run.put(name, full, EMPTY)


def _nothing(run: Run, fluid: Fluid, cars: Region, how: str, hint: str) -> None:
    verb = run.action.verb if run.action else ""
    run.find(
        "nothing-to-undo", cars, f"`{verb} {fluid.id}`: {run.does(fluid.id, how)}", hint,
        run.track(fluid.id).mark(cars), fluid.place,
    )  # fmt: skip


def _nothing_open(run: Run, fluid: Fluid, cars: Region) -> None:
    """Find lines that are open, and drain plugs that are out, when a system is filled or bled."""
    kind = str(fluid.kind)
    plug = run.car.things.get(str(fluid.drain))
    if isinstance(plug, Fastener):
        where = cars & run.car.expected(plug.id)
        _still_open(run, fluid, plug.id, where - run.where(plug.id, IS_TIGHT, where))
    if kind not in _SHUT_WHEN_FILLED or len(run.car.fluids[kind]) > 1:
        return
    for line in run.car.carrying.get(kind, ()):
        has = run.none
        for name in run.car.of_line(line):
            has = has | (cars & _wanted(run, name))
        if run.touched(line):
            _still_open(run, fluid, line, has - run.any_of(line, IS_MADE, has))


def _wanted(run: Run, name: str) -> Region:
    """Return the cars on which a line has to be connected: its parts are there."""
    thing = run.car.things[name]
    where = run.car.expected(name)
    if isinstance(thing, Connection):
        for line in run.car.ends(thing):
            where = where & run.any_of(line, IN_PLACE, where)
    return where


def _still_open(run: Run, fluid: Fluid, name: str, cars: Region) -> None:
    if cars:
        verb = run.action.verb if run.action else "fill"
        run.find(
            "filled-while-open", cars,
            f"`{verb} {fluid.id}` while {run.does(name, 'is')} still open",
            f"close `{name}` first", run.track(name).mark(cars), run.car.things[name].place,
            unless=lambda cars: _never_closed(run, name, cars),
        )  # fmt: skip


def _never_closed(run: Run, name: str, cars: Region) -> Region:
    if isinstance(run.car.things[name], Fastener):
        return cars - run.any_of(run.car.line(name), IS_TIGHT, cars)
    return stays_open(run, run.car.line(name), cars)
