"""On the road: what has to be tight, full, bled, tested and loaded before the car moves."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.states import (
    AIR,
    BRAKE_TEST,
    CALIBRATION,
    FUEL_TEST,
    IN_PLACE,
    IS_EMPTY,
    IS_MADE,
    IS_OLD,
    IS_OPEN,
    IS_OUT,
    IS_RAISED,
    IS_TIGHT,
    IS_YES,
    NO,
    VEHICLE,
)
from procedures_lib.walk.wanted import used_by

if TYPE_CHECKING:
    from collections.abc import Callable

    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run


def drive(run: Run, cars: Region) -> None:
    """Find what is not ready for the road."""
    _untested(run, cars)
    for key in list(run.tracks):
        thing = run.car.things.get(key)
        if isinstance(thing, Fastener):
            _half_tight(run, key, cars)
        elif isinstance(thing, Connection):
            _open(run, key, cars)
        elif key.startswith(AIR):
            name = key.removeprefix(AIR)
            _not_ready(run, key, name, _airy(run, name, cars), "is not full and bled",
                       partial(_airy, run, name))  # fmt: skip
    if VEHICLE in run.tracks:
        _not_ready(run, VEHICLE, VEHICLE, run.where(VEHICLE, IS_RAISED, cars), "is still raised",
                   lambda left: run.where(VEHICLE, IS_RAISED, left))  # fmt: skip
    _calibration(run, cars)


def _airy(run: Run, name: str, cars: Region) -> Region:
    return run.where(AIR + name, IS_YES, cars) | run.where(name, IS_EMPTY, cars)


def soft_pedal(run: Run, cars: Region) -> Region:
    """Return where there is air in the brakes: a test of the pedal proves nothing there."""
    found = run.none
    for name in run.car.fluids.get("brake-fluid", ()):
        found = found | run.where(AIR + name, IS_YES, cars)
    return found


def _untested(run: Run, cars: Region) -> None:
    brakes = run.where(BRAKE_TEST, IS_YES, cars) if BRAKE_TEST in run.tracks else run.none
    if brakes:
        run.find(
            "no-brake-test", brakes,
            "the car is driven with brakes that were opened and not tested",
            "`bleed brake-fluid`, then `test brakes`, before the car moves",
            run.track(BRAKE_TEST).mark(brakes),
            unless=lambda left: soft_pedal(run, left),
        )  # fmt: skip
        run.put(BRAKE_TEST, brakes, NO)
    fuel = run.where(FUEL_TEST, IS_YES, cars) if FUEL_TEST in run.tracks else run.none
    if fuel:
        run.find(
            "no-leak-test", fuel, "the car is driven with fuel lines that were opened, and no leak"
            " test before", "`test leaks fuel` before the car moves",
            run.track(FUEL_TEST).mark(fuel),
        )  # fmt: skip
        run.put(FUEL_TEST, fuel, NO)


def _half_tight(run: Run, name: str, cars: Region) -> None:
    """Find a group that is loose, started or short of a stage, and holds something in place."""
    loose = cars & run.car.exists(name)
    loose = loose - run.where(name, IS_TIGHT | IS_OUT, loose)
    line = run.car.line(name)
    if loose and run.car.users.get(line):
        loose = used_by(run, line, loose)
    _not_ready(run, name, name, run.unforgiven(name, loose), "is not tight",
               lambda left: left - run.where(name, IS_TIGHT, left))  # fmt: skip


def _open(run: Run, name: str, cars: Region) -> None:
    """Find a connection that hangs open, with nothing of its line connected in its place."""
    line = run.car.line(name)
    opened = run.where(name, IS_OPEN, cars)
    opened = opened - run.any_of(line, IS_MADE, opened) - run.as_begun(name, opened)
    _not_ready(run, name, name, opened, "is not connected",
               lambda left: stays_open(run, line, left))  # fmt: skip


def _calibration(run: Run, cars: Region) -> None:
    kit = run.car.kit
    if kit is None or not kit.needs.calibration:
        return
    old = run.where(CALIBRATION, IS_OLD, cars) & run.car.calibrated
    fitted = run.none
    for name in run.car.new & run.tracks.keys():
        fitted = fitted | run.where(name, IN_PLACE | IS_MADE | IS_TIGHT, old)
    _not_ready(run, CALIBRATION, CALIBRATION, fitted, "is still the old one",
               lambda left: run.where(CALIBRATION, IS_OLD, left))  # fmt: skip


def _not_ready(
    run: Run, key: str, name: str, cars: Region, how: str, unless: Callable[[Region], Region]
) -> None:
    """Find one thing; what is found as left open at the end is not found here as well."""
    if cars:
        run.find(
            "driven-too-early", cars, f"the car is driven, and {run.does(name, how)}",
            "drive it after all is done", run.track(key).mark(cars), unless=unless,
        )  # fmt: skip
