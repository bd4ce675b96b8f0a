"""The car as a whole: raise, lower, program, test, and what has to be right before it drives."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import partial

from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.work import Action, Step
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.manual import NumberedStep
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.progress import Run
from procedures_lib.walk.state import (
    AIR,
    BATTERY,
    BRAKE_TEST,
    CALIBRATION,
    DEAD,
    FUEL_TEST,
    IN_PLACE,
    IS_DEAD,
    IS_EMPTY,
    IS_GONE,
    IS_MADE,
    IS_OLD,
    IS_OPEN,
    IS_OUT,
    IS_RAISED,
    IS_SAFE,
    IS_TIGHT,
    IS_YES,
    LOADED,
    NO,
    ON_WHEELS,
    RAISED,
    SOFT_TEST,
    VEHICLE,
    YES,
)


def connection_wanted(run: Run, name: str) -> Region:
    """Return the cars on which a connection must be made in the end.

    Not so where something newer replaces it, or where a part at its end is gone for good and
    nothing takes that part's place; nor is a new one whose part stays in the box, which is found.
    """
    thing = run.car.things[name]
    where = run.car.expected(name)
    if isinstance(thing, Connection) and where:
        for line in run.car.ends(thing):
            where = where - _end_gone(run, line, where)
        if name in run.car.new and next(run.car.older(name), None) is None:
            for line in run.car.ends(thing):
                where = run.any_of(line, IN_PLACE, where)
    return where


def _end_gone(run: Run, line: str, cars: Region) -> Region:
    gone = cars
    for member in run.car.of_line(line):
        here = run.car.expected(member) & cars
        gone = gone - (here - run.where(member, IS_GONE, here))
    return gone


def used_by(run: Run, line: str, cars: Region) -> Region:
    """Return the cars on which a line of fasteners has something in place to hold."""
    found = run.none
    for user in run.car.users.get(line, ()):
        states = IN_PLACE if isinstance(run.car.things[user], Part) else IS_MADE
        found = found | run.where(user, states, cars)
    return found


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


_FUEL = re.compile(r"\bfuel\b(?!-vapour)")
_LIQUIDS = {
    "coolant": re.compile(r"\bcoolant\b"),
    "oil": re.compile(r"\boil\b"),
    "brake-fluid": re.compile(r"\bbrake[- ]fluid\b"),
}
"""What is looked for under pressure, besides fuel, whose test is asked for again once a line is
closed. Air may be tried with a line open: that is where the smoke is fed in."""


def test(run: Run, action: Action, cars: Region) -> None:
    """Note what a test proves: no leaks, brakes that hold; and what the road asks for."""
    words = " ".join(map(str, action.objects))
    if "leak" in words:
        _leaks(run, words, cars)
    elif re.search(r"\b(?:brakes?|pedal|brake-pedal)\b(?!-)", words):
        open_ = run.where(BRAKE_TEST, IS_YES, cars)
        soft = soft_pedal(run, open_)
        run.put(SOFT_TEST, soft, YES)
        run.put(BRAKE_TEST, open_ - soft, NO)
    if re.search(r"\broad\b", words):
        drive(run, cars)


def _leaks(run: Run, words: str, cars: Region) -> None:
    for carried, said in _LIQUIDS.items():
        if said.search(words):
            for line in run.car.carrying.get(carried, ()):
                if run.touched(line):
                    _still_open(run, line, carried, cars)
    if _FUEL.search(words):
        open_ = run.where(FUEL_TEST, IS_YES | IS_DEAD, cars)
        dead = run.where(BATTERY, IS_SAFE, open_)
        run.put(FUEL_TEST, dead, DEAD)
        run.put(FUEL_TEST, open_ - dead, NO)


def _still_open(run: Run, line: str, carried: str, cars: Region) -> None:
    """Find a line that is still open when what it carries is looked for."""
    for name in run.car.of_line(line):
        opened = run.where(name, IS_OPEN, cars)
        opened = opened - run.as_begun(name, opened)
        opened = opened - run.any_of(line, IS_MADE, opened)
        if opened:
            run.find(
                "no-leak-test", opened,
                f"leaks of {carried} are looked for while {run.does(name, 'is')} open",
                f"`connect {name}` first: this test says nothing about it",
                run.track(name).mark(opened), run.car.things[name].place,
                unless=lambda left: stays_open(run, line, left),
            )  # fmt: skip


_STANDS = re.compile(r"\b(?:stands?|lift|two-post|four-post|hoist|ramps?)\b", re.IGNORECASE)
_TOLD = re.compile(
    r"\b(?:axle|safety|jack) stands?\b|\bstands? rated\b|\b(?:two|four)-post\b"
    r"|\b(?:on|onto|set) (?:the |two |four )?stands\b",
    re.IGNORECASE,
)
"""How the prose of a step tells what the car is to stand on."""
_SUPPORT = re.compile(r"\b(?:battery (?:support|charger|maintainer)|stabili[sz]ed|charger)\b",
                      re.IGNORECASE)  # fmt: skip


def raise_(run: Run, cars: Region) -> None:
    """Raise the car; what it stands on must be named in this step or the next."""
    up = run.where(VEHICLE, IS_RAISED, cars)
    if up:
        run.find("nothing-to-undo", up, "`raise vehicle`: it is raised already",
                 "leave this out, or lower it in between", run.track(VEHICLE).mark(up))  # fmt: skip
    near = [run.step, *run.after] if run.step else []
    held = run.none
    for numbered in near[:4]:
        if _says(numbered.step, _STANDS) or _TOLD.search(numbered.step.block.body):
            held = held | run.car.space.region(numbered.when)
    bare = cars - held
    if bare:
        run.find(
            "under-unsupported-car", bare, "the car is raised, and nothing says what it stands on",
            "name the axle stands or the lift among this step's or the next step's tools, or"
            " `inspect axle stands`",
        )  # fmt: skip
    run.put(VEHICLE, cars, RAISED)


def lower(run: Run, cars: Region) -> None:
    """Put the car back on its wheels."""
    down = cars - run.where(VEHICLE, IS_RAISED, cars)
    if down:
        run.find(
            "nothing-to-undo", down, "`lower vehicle`: it is on its wheels already",
            "`raise vehicle` first, or leave this out", run.track(VEHICLE).mark(down),
        )  # fmt: skip
    for name in run.car.wheels:
        off = cars & run.car.expected(name)
        off = off - run.any_of(run.car.line(name), IN_PLACE, off)
        if off:
            run.find(
                "lowered-without-wheels", off, f"the car is lowered with {run.called(name)} off",
                f"fit `{name}` first", run.track(name).mark(off), run.car.things[name].place,
                unless=partial(stays_open, run, run.car.line(name)),
            )  # fmt: skip
    run.put(VEHICLE, cars, ON_WHEELS)


def program(run: Run, cars: Region) -> None:
    """Load the calibration: it needs the battery, and something that holds its voltage."""
    off = run.where(BATTERY, IS_SAFE, cars)
    if off:
        run.find("battery-order", off, "`program calibration` with the battery isolated",
                 "`restore battery` first", run.track(BATTERY).mark(off),
                 unless=lambda cars: run.where(BATTERY, IS_SAFE, cars))  # fmt: skip
    held = run.none
    for numbered in (*run.before, *([run.step] if run.step else [])):
        if _says(numbered.step, _SUPPORT):
            held = held | run.car.space.region(numbered.when)
    bare = cars - held
    if bare:
        run.find(
            "no-battery-support", bare,
            "`program calibration` without anything that holds the battery's voltage",
            "name a battery support unit among the step's tools, or `apply battery support`",
        )  # fmt: skip
    _calibration_for(run, cars)
    run.put(CALIBRATION, cars, LOADED)


def _calibration_for(run: Run, cars: Region) -> None:
    kit = run.car.kit
    if kit is None or not kit.needs.calibration or run.car.calibration_unknown:
        return
    without = cars - run.car.calibrated
    if without:
        run.find(
            "no-calibration-for", without, f"the kit `{kit.id}` has no calibration for these cars",
            "add it to the kit's `needs: {calibration: …}`, or limit the kit by `fits: {when: …}`",
            kit.place,
        )  # fmt: skip


def _says(step: Step, words: re.Pattern[str]) -> bool:
    return any(words.search(text) for text in _texts(step))


def _texts(step: Step) -> Iterator[str]:
    yield from step.tools
    yield from step.supplies
    for action in step.actions:
        yield from map(str, action.objects)


def modify(run: Run, name: str, cars: Region) -> None:
    """Judge work that can't be undone: a signal word must have announced it."""
    steps: tuple[NumberedStep, ...] = (*run.before, *([run.step] if run.step else []))
    said = run.none
    for numbered in steps:
        if numbered.step.signals or numbered.step.hazards:
            said = said | run.car.space.region(numbered.when)
    if run.car.announced_on_page:
        said = run.all
    bare = cars - said
    if bare:
        run.find(
            "not-announced", bare,
            f"`modify {name}` can't be undone, and no signal word has announced it",
            "put a `{notice}` or `{caution}` into this step or before it",
        )  # fmt: skip
    run.put(f"modified {name}", cars, "yes")
