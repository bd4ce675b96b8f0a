"""The car as a whole: raise, lower, program, modify, test, and what must be right on the road."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial

from procedures_lib.findings import Level
from procedures_lib.language.entities.car import Fluid
from procedures_lib.language.entities.work import Step
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.circuits import (
    LEAKS,
    is_test,
    leak_test,
    left_open,
    level_of,
    soft_pedal,
    test_of_circuits,
    untested,
)
from procedures_lib.walk.fluids import airy, low
from procedures_lib.walk.hazards import without_battery
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import held
from procedures_lib.walk.states import (
    BATTERY,
    BRAKE_TEST,
    CALIBRATION,
    ON_STANDS,
    PARTS_TEST,
    VEHICLE,
    Key,
    State,
)

_STANDS = re.compile(r"\b(?:stands?|lift|two-post|four-post|hoist|ramps?)\b", re.IGNORECASE)
_LIFT = re.compile(r"\b(?:lift|two-post|four-post|hoist)\b", re.IGNORECASE)
"""What a car hangs on so that its wheels are turned loose in the air, by an impact wrench."""
_TOLD = re.compile(
    r"\b(?:axle|safety|jack) stands?\b|\bstands? rated\b|\b(?:two|four)-post\b"
    r"|\b(?:on|onto|set) (?:the |two |four )?stands\b",
    re.IGNORECASE,
)
"""How the prose of a step tells what the car is to stand on."""
_SUPPORT = re.compile(r"\b(?:battery (?:support|charger|maintainer)|stabili[sz]ed|charger)\b",
                      re.IGNORECASE)  # fmt: skip


_ENGINE_RUNS = re.compile(r"(?<![\w-])(?:engine|idle|idling)(?![\w-])")
"""What a test says when the engine runs for it."""
_ROAD = re.compile(r"\broad\b")
_OF_THE_ENGINE = re.compile(r"^(?:coolant|fuel|(?:engine-|motor-)?oil)$")
_BEFORE_IT_MOVES = frozenset({"fuel", "air", "hydraulic"})
"""What burns, or holds the brakes and the steering; other leaks may be looked for after a drive."""


# -- raise, lower, program, modify -----------------------------------------------------------------


def raise_(run: Run, cars: Region) -> None:
    """Raise the car; what it stands on must be named in this step or the next."""
    up = run.where(VEHICLE, cars, states.RAISED)
    hint = "leave this out, or lower it in between"
    run.nothing_to_do(VEHICLE, up, "is raised already", hint, it="it", again=True)
    near = [run.step, *run.after] if run.step else []
    bare = cars - run.car.cars_of(
        each for each in near if _names(each.step, _STANDS) or _TOLD.search(each.step.block.body)
    )
    run.find(
        "under-unsupported-car", bare, "the car is raised, and nothing says what it stands on",
        "name the axle stands or the lift among this step's or the next step's tools, or"
        " `inspect axle stands`",
    )  # fmt: skip
    run.put(VEHICLE, cars, states.RAISED)
    run.put(ON_STANDS, cars - run.car.cars_of(n for n in near if _names(n.step, _LIFT)), states.YES)


def lower(run: Run, cars: Region) -> None:
    """Put the car back on its wheels."""
    down = cars - run.where(VEHICLE, cars, states.RAISED)
    down = run.unforgiven(VEHICLE, down)
    hint = "`raise vehicle` first, or leave this out"
    run.nothing_to_do(VEHICLE, down, "is on its wheels already", hint, it="it", again=True)
    for key in run.car.wheels:
        off = cars & run.car.expected(key)
        off = off - run.any_there(key, off)
        if off:
            run.find(
                "lowered-without-wheels", off, f"the car is lowered with {run.called(key)} off",
                f"fit `{key}` first", run.track(key).mark(off), run.car.things[key].place,
                unless=partial(stays_open, run, key),
            )  # fmt: skip
    run.put(VEHICLE, cars, states.ON_WHEELS)


def program(run: Run, cars: Region) -> None:
    """Load the calibration: it needs the battery, and something that holds its voltage."""
    off = run.where(BATTERY, cars, states.SAFE)
    run.find(
        "battery-order", off, "`program calibration` with the battery isolated",
        "`restore battery` first", run.track(BATTERY).mark(off),
        unless=lambda cars: run.where(BATTERY, cars, states.SAFE),
    )  # fmt: skip
    bare = cars - run.car.cars_of(n for n in run.steps_so_far if _names(n.step, _SUPPORT))
    run.find(
        "no-battery-support", bare,
        "`program calibration` without anything that holds the battery's voltage",
        "name a battery support unit among the step's tools, or `apply battery support`",
    )  # fmt: skip
    kit = run.car.kit
    if kit is not None and kit.needs.calibration and not run.car.calibration_unknown:
        run.find(
            "no-calibration-for", cars - run.car.calibrated,
            f"the kit `{kit.id}` has no calibration for these cars",
            "add it to the kit's `needs: {calibration: …}`, or limit the kit by `fits: {when: …}`",
            kit.place,
        )  # fmt: skip
    run.put(CALIBRATION, cars, states.LOADED)


def _names(step: Step, words: re.Pattern[str]) -> bool:
    """Tell whether a step names one of these words: a tool, a supply, or what it works on."""
    objects = (str(name) for action in step.actions for name in action.objects)
    return any(words.search(text) for text in (*step.tools, *step.supplies, *objects))


def is_understood(words: str) -> bool:
    """Tell whether words that name no thing are a test, a stand or a support that counts here."""
    asked = (_STANDS, _TOLD, _SUPPORT, _ENGINE_RUNS, _ROAD)
    return is_test(words) or any(each.search(words) for each in asked)


def modify(run: Run, key: Key, cars: Region) -> None:
    """Judge work that can't be undone: a signal word must have announced it."""
    run.find(
        "not-announced", cars - _announced(run),
        f"`modify {key}` can't be undone, and no signal word has announced it",
        "put a `{notice}` or `{caution}` into this step or before it",
    )  # fmt: skip
    run.put(Key(states.MODIFIED, key.id), cars, states.YES)


def _announced(run: Run) -> Region:
    """Return where a signal word stands on the page, or a step so far has one or a hazard."""
    region = run.car.space.region
    found = run.car.cars_of(each for each in run.steps_so_far if each.step.hazards)
    for signal in run.car.plan.content.signals:
        found = found | region(signal.when)
    for each in run.steps_so_far:
        for signal in each.step.signals:
            found = found | region(each.when & signal.when)
    return found


# -- on the road -----------------------------------------------------------------------------------


def test(run: Run, words: str, cars: Region) -> None:
    """Note what a test proves, and what the road asks for."""
    if _ENGINE_RUNS.search(words):
        _run_engine(run, cars)
    test_of_circuits(run, words, cars)
    if _ROAD.search(words):
        _drive(run, cars)


def _run_engine(run: Run, cars: Region) -> None:
    """Find what is not ready for the engine to run: what it runs on, and in, is full and closed."""
    without_battery(run, cars, "the engine runs")
    for key, fluid in run.car.of_kind(Fluid):
        if _OF_THE_ENGINE.search(fluid.kind) and run.touched(key):
            here = cars & run.car.exists(key)
            empty = run.where(key, here, states.EMPTY)
            _not_ready(run, key, key, empty, "is not full",
                       partial(_still, run, key, states.EMPTY), "the engine runs")  # fmt: skip


def _still(run: Run, key: Key, state: State, cars: Region) -> Region:
    return run.where(key, cars, state)


def _drive(run: Run, cars: Region) -> None:
    """Find what is not ready for the road."""
    without_battery(run, cars, "the car is driven")
    _untested(run, cars)
    for key in list(run.tracks):
        if key.kind is states.FASTENER:
            _half_tight(run, key, cars)
        elif key.kind is states.CONNECTION:
            _open(run, key, cars)
        elif key.kind is states.FLUID:
            _not_ready(run, key, key, run.unforgiven(key, airy(run, key, cars)),
                       "is not full and bled", partial(airy, run, key))  # fmt: skip
            lost = run.unforgiven(key, low(run, key, cars))
            _not_ready(run, key, key, lost, "has lost some, and nobody has looked at the level",
                       partial(low, run, key))  # fmt: skip
    _not_ready(run, VEHICLE, VEHICLE, run.where(VEHICLE, cars, states.RAISED), "is still raised",
               lambda left: run.where(VEHICLE, left, states.RAISED))  # fmt: skip
    _old_calibration(run, cars)


def _untested(run: Run, cars: Region) -> None:
    brakes = run.where(BRAKE_TEST, cars, states.YES)
    run.find(
        "no-brake-test", brakes, "the car is driven with brakes that were opened and not tested",
        "`bleed brake-fluid`, then `test brakes`, before the car moves",
        run.track(BRAKE_TEST).mark(brakes), unless=partial(soft_pedal, run),
    )  # fmt: skip
    run.put(BRAKE_TEST, brakes, states.NO)
    apart = run.where(PARTS_TEST, cars - brakes, states.YES)
    run.find(
        "no-brake-test", apart, "the car is driven with brakes that were apart, and nobody has"
        " pressed the pedal", "`test brakes` before the car moves",
        run.track(PARTS_TEST).mark(apart), level=Level.WARNING,
    )  # fmt: skip
    run.put(PARTS_TEST, apart, states.NO)
    for carried in LEAKS:
        due = untested(run, carried, cars)
        test = leak_test(carried)
        if carried in _BEFORE_IT_MOVES and due:
            run.find(
                "no-leak-test", due, f"the car is driven with {carried} lines that were opened, and"
                " no leak test before", f"`test leaks {carried}` before the car moves",
                run.track(test).mark(due), unless=partial(left_open, run, carried),
                level=level_of(carried),
            )  # fmt: skip
            run.put(test, due, states.NO)


def _half_tight(run: Run, key: Key, cars: Region) -> None:
    """Find a group that is loose, started or short of a stage, and holds something in place."""
    loose = cars & run.car.exists(key)
    loose = loose - run.where(key, loose, states.TIGHT, *states.IS_OUT)
    line = run.car.line(key)
    if loose and run.car.users.get(line):
        loose = held(run, line, loose)
    _not_ready(run, key, key, run.unforgiven(key, loose), "is not tight",
               lambda left: left - run.where(key, left, states.TIGHT))  # fmt: skip


def _open(run: Run, key: Key, cars: Region) -> None:
    """Find a connection that hangs open, with nothing of its line connected in its place."""
    opened = run.where(key, cars, states.OPEN)
    opened = opened - run.any_there(key, opened) - run.as_begun(key, opened)
    _not_ready(run, key, key, opened, "is not connected", partial(stays_open, run, key))


def _old_calibration(run: Run, cars: Region) -> None:
    kit = run.car.kit
    if kit is None or not kit.needs.calibration:
        return
    old = run.where(CALIBRATION, cars, states.OLD) & run.car.calibrated
    fitted = run.none
    for key in run.car.new & run.tracks.keys():
        fitted = fitted | run.where(key, old, *states.IN_PLACE, states.MADE, states.TIGHT)
    _not_ready(run, CALIBRATION, CALIBRATION, fitted, "is still the old one",
               lambda left: run.where(CALIBRATION, left, states.OLD))  # fmt: skip


def _not_ready(
    run: Run, key: Key, about: Key, cars: Region, so: str, unless: Callable[[Region], Region],
    used: str = "the car is driven",
) -> None:  # fmt: skip
    """Find one thing; what is found as left open at the end is not found here as well."""
    if cars:
        run.find(
            "driven-too-early", cars, f"{used}, and {run.does(about, so)}",
            "do that after all is done", run.track(key).mark(cars), unless=unless,
        )  # fmt: skip
