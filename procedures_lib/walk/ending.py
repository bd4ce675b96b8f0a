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
    for name in sorted(set(run.tracks) | run.car.new):
        thing = run.car.things.get(name)
        if thing is None:
            continue
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
    _hazards(run)
    _vehicle(run)
    _tests(run)
    _calibration(run)
    kit_left(run)


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
            "left-disconnected", cars, f"{run.called(name)} {how}",
            f"`connect {name}` before the end",
            run.last_place(cars), run.car.things[name].place, at=at, about=name,
        )  # fmt: skip


def _opening(run: Run, opening: Opening) -> None:
    covered = run.where(opening.id, IS_COVERED, run.car.exists(opening.id))
    left = run.unforgiven(opening.id, covered - never_closed(run, opening, covered))
    if left:
        run.find(
            "left-covered", left, f"the cover is left on {run.called(opening.id)}",
            f"`uncover {opening.id}` before it is closed", run.last_place(left),
            at=run.track(opening.id).mark(left), about=opening.id,
        )  # fmt: skip


def _fluid(run: Run, fluid: Fluid) -> None:
    name = fluid.id
    where = run.car.exists(name)
    empty = run.where(name, IS_EMPTY, where)
    empty = empty - run.as_begun(name, empty)
    if empty:
        run.find(
            "left-drained", empty, f"{run.called(name)} is left drained",
            f"`fill {name}` before the end", run.last_place(empty),
            at=run.track(name).mark(empty), about=name,
        )  # fmt: skip


def _air(run: Run, key: str) -> None:
    name = key.removeprefix(AIR)
    airy = run.where(key, IS_YES, run.car.exists(name))
    airy = airy - run.where(name, IS_EMPTY, airy)
    if airy:
        run.find(
            "left-unbled", airy, f"{run.called(name)} is left with air in it",
            f"`bleed {name}` before the end", run.last_place(airy), at=run.track(key).mark(airy),
            about=name,
        )  # fmt: skip


def _hazards(run: Run) -> None:
    for key in list(run.tracks):
        if key.startswith(AIR):
            _air(run, key)
        elif key in run.car.things or " " in key or key in {VEHICLE, CALIBRATION, ENGINE}:
            continue
        else:
            safe = run.where(key, IS_SAFE, run.all) - run.forgiven.get(key, run.none)
            safe = safe - run.as_begun(key, safe)
            if safe:
                run.find(
                    "left-isolated", safe, f"`{key}` is left isolated",
                    f"`restore {key}` before the end", run.last_place(safe),
                    at=run.track(key).mark(safe), about=key,
                )  # fmt: skip


def _vehicle(run: Run) -> None:
    if VEHICLE not in run.tracks:
        return
    up = run.where(VEHICLE, IS_RAISED, run.all)
    up = up - run.as_begun(VEHICLE, up)
    if up:
        run.find("left-raised", up, "the car is left raised", "`lower vehicle` before the end",
                 run.last_place(up), at=run.track(VEHICLE).mark(up), about=VEHICLE)  # fmt: skip


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
