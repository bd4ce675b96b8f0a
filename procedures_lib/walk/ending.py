"""The end of a procedure: a car that can leave, in every variant, and a box that is empty."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Fluid, Opening, Part
from procedures_lib.walk.driving import soft_pedal
from procedures_lib.walk.end_fasteners import fastener_left
from procedures_lib.walk.end_kit import kit_left
from procedures_lib.walk.end_parts import part_left
from procedures_lib.walk.openings import never_closed
from procedures_lib.walk.states import (
    AIR,
    BATTERY,
    BRAKE_TEST,
    CALIBRATION,
    ENGINE,
    FUEL_TEST,
    IS_COVERED,
    IS_DEAD,
    IS_EMPTY,
    IS_GONE,
    IS_MADE,
    IS_OPEN,
    IS_RAISED,
    IS_SAFE,
    IS_YES,
    OLD,
    SOFT_TEST,
    VEHICLE,
)
from procedures_lib.walk.wanted import connection_wanted

if TYPE_CHECKING:
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run


def end(run: Run) -> None:
    """Find all that is left open, off, loose, covered, drained, isolated, raised or unused."""
    run.action = None
    run.mark = None
    run.settle_provisional()
    for name in to_be_judged(run):
        thing_left(run, name)
    rest_left(run)
    kit_left(run)


def to_be_judged(run: Run) -> list[str]:
    """Return the names of all things that may not be as they should: touched, or new."""
    return sorted(name for name in set(run.tracks) | run.car.new if name in run.car.things)


def thing_left(run: Run, name: str) -> None:
    """Find one thing that is left open, off, loose, covered or drained."""
    thing = run.car.things[name]
    if isinstance(thing, Connection):
        _connection(run, thing)
    elif isinstance(thing, Part):
        part_left(run, thing)
    elif isinstance(thing, Fastener):
        fastener_left(run, thing)
    elif isinstance(thing, Opening):
        _opening(run, thing)
    elif isinstance(thing, Fluid):
        _fluid(run, thing)


def rest_left(run: Run) -> None:
    """Find what is left isolated, unbled, raised, untested or with the old calibration."""
    _hazards(run)
    _vehicle(run)
    _tests(run)
    _calibration(run)


def _connection(run: Run, connection: Connection) -> None:
    name = connection.id
    wanted = connection_wanted(run, name)
    not_made = wanted - run.where(name, IS_MADE, wanted) - run.where(name, IS_GONE, wanted)
    if not not_made:
        return
    for old in run.car.older(name):
        not_made = not_made - run.where(old, IS_MADE, not_made)
    not_made = not_made - run.as_begun(name, not_made)
    opened = run.where(name, IS_OPEN, not_made)
    _left(run, name, opened, "is left disconnected")
    _left(run, name, not_made - opened, "is new and never connected")


def _left(run: Run, name: str, cars: Region, how: str) -> None:
    if cars:
        at = run.track(name).mark(cars)
        at = at or next((m for o in run.car.older(name) if (m := run.track(o).mark(cars))), None)
        run.find(
            "left-disconnected", cars, run.does(name, how),
            f"`connect {name}` before the end",
            run.last_place(cars), run.car.things[name].place, at=at, about=name,
        )  # fmt: skip


def _left_so(
    run: Run, check: str, name: str, cars: Region, how: str, hint: str, key: str = ""
) -> None:
    """Find what ends in another state than the car arrived in; ``key`` names its track."""
    if cars:
        run.find(
            check, cars, how, hint, run.last_place(cars),
            at=run.track(key or name).mark(cars), about=name,
        )  # fmt: skip


def _opening(run: Run, opening: Opening) -> None:
    name = opening.id
    covered = run.where(name, IS_COVERED, run.car.exists(name))
    left = run.unforgiven(name, covered - never_closed(run, opening, covered))
    _left_so(run, "left-covered", name, left, f"the cover is left on {run.called(name)}",
             f"`uncover {name}` before it is closed")  # fmt: skip


def _fluid(run: Run, fluid: Fluid) -> None:
    name = fluid.id
    empty = run.where(name, IS_EMPTY, run.car.exists(name))
    _left_so(run, "left-drained", name, empty - run.as_begun(name, empty),
             f"{run.does(name, 'is')} left drained", f"`fill {name}` before the end")  # fmt: skip


def _air(run: Run, key: str) -> None:
    name = key.removeprefix(AIR)
    airy = run.where(key, IS_YES, run.car.exists(name))
    _left_so(run, "left-unbled", name, airy - run.where(name, IS_EMPTY, airy),
             f"{run.does(name, 'is')} left with air in it", f"`bleed {name}` before the end",
             key)  # fmt: skip


def _hazards(run: Run) -> None:
    for key in list(run.tracks):
        if key.startswith(AIR):
            _air(run, key)
        elif key in run.car.things or " " in key or key in {VEHICLE, CALIBRATION, ENGINE}:
            continue
        else:
            safe = run.where(key, IS_SAFE, run.all) - run.forgiven.get(key, run.none)
            _left_so(run, "left-isolated", key, safe - run.as_begun(key, safe),
                     f"`{key}` is left isolated", f"`restore {key}` before the end")  # fmt: skip


def _vehicle(run: Run) -> None:
    if VEHICLE in run.tracks:
        up = run.where(VEHICLE, IS_RAISED, run.all)
        _left_so(run, "left-raised", VEHICLE, up - run.as_begun(VEHICLE, up),
                 "the car is left raised", "`lower vehicle` before the end")  # fmt: skip


def _tests(run: Run) -> None:
    if FUEL_TEST in run.tracks:
        dead = run.where(FUEL_TEST, IS_DEAD, run.all)
        dead = dead - run.where(BATTERY, IS_SAFE, dead)
        fuel = run.where(FUEL_TEST, IS_YES, run.all) | dead
        if fuel:
            run.find(
                "no-leak-test", fuel, "fuel lines were opened, and no leak test follows",
                "`test leaks fuel` after the battery is back on", run.last_place(fuel),
                at=run.track(FUEL_TEST).mark(fuel), about=FUEL_TEST,
            )  # fmt: skip
    if BRAKE_TEST in run.tracks:
        brakes = run.where(BRAKE_TEST, IS_YES, run.all)
        brakes = brakes - soft_pedal(run, run.where(SOFT_TEST, IS_YES, brakes))
        if brakes:
            run.find(
                "no-brake-test", brakes, "the brakes were opened, and no test of the pedal follows",
                "`test brakes` before the car moves", run.last_place(brakes),
                at=run.track(BRAKE_TEST).mark(brakes), about=BRAKE_TEST,
            )  # fmt: skip


def _calibration(run: Run) -> None:
    kit = run.car.kit
    if kit is None or not kit.needs.calibration:
        return
    old = run.where(CALIBRATION, frozenset({OLD}), run.all) & run.car.calibrated
    if old:
        run.find(
            "left-uncalibrated", old,
            f"the kit `{kit.id}` needs a calibration, and nothing loads it",
            "`program calibration`, with battery support", run.last_place(old), kit.place,
            at=run.car.plan.head.place, about=CALIBRATION,
        )  # fmt: skip
