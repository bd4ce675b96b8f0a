"""Circuits: what an opened line lets out and in, and the tests that show that nothing leaks."""

from __future__ import annotations

import re
from functools import partial

from procedures_lib.findings import Level
from procedures_lib.language.entities.car import Connection, Fluid, Part
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.progress import Run
from procedures_lib.walk.states import BATTERY, BRAKE_TEST, PARTS_TEST, SOFT_TEST, Key

LEAKS = {
    "fuel": re.compile(r"\bfuel\b(?!-vapour)"),
    "coolant": re.compile(r"\bcoolant\b"),
    "oil": re.compile(r"\b(?:[a-z]+-)?oil\b"),
    "air": re.compile(r"(?<![\w-])air\b(?!-)"),
    "hydraulic": re.compile(r"\bhydraulics?\b"),
}
"""What is looked for after its circuit was opened, by what a test says: liquids, and what is under
pressure. Brakes have a test of their own, refrigerant is proved by those who may open it; charge
air, vacuum, vapour and exhaust are left to the writer, since correct pages open them without."""
_BRAKES = re.compile(r"\b(?:brakes?|pedal|brake-pedal)\b(?!-)")
_BRAKE_FLUID = re.compile(r"\bbrake[- ]fluid\b")
_UNDER_PRESSURE = {
    "fuel": BATTERY,
    "air": Key(states.HAZARD, "air-pressure"),
    "hydraulic": Key(states.HAZARD, "hydraulic-pressure"),
}
"""What has to be live for a test to show anything: the pump runs, the reservoirs are full."""
_TRIED_OPEN = frozenset({"air"})
"""What may be tried with a line open: that is where the smoke, or the air, is fed in."""
_LOSES_SOME = frozenset({"oil", "hydraulic"})
"""What runs out a little when a line is opened, so that its level is looked at."""


def level_of(carried: str) -> Level:
    """Return how bad an untested circuit is: pages from print open all but fuel without a test."""
    return Level.ERROR if carried == "fuel" else Level.WARNING


def leak_test(carried: str) -> Key:
    """Return the key of whether a circuit was opened and not yet looked at for leaks."""
    return Key(states.TEST, f"{carried} leak test")


def air(fluid: Key) -> Key:
    """Return the key of whether there is air in a system."""
    return Key(states.AIR, fluid.id)


# -- opened ----------------------------------------------------------------------------------------


def opened(run: Run, connection: Connection, cars: Region, *, before: bool = False) -> None:
    """Note what an opened line lets out, and lets in.

    What was opened ``before`` the procedure lost its coolant then.
    """
    carries = connection.carries
    if not cars or carries is None:
        return
    if carries in LEAKS:
        run.put(leak_test(carries), cars, states.YES)
    if carries == "brake-fluid":
        run.put(BRAKE_TEST, cars, states.YES)
        for key in run.car.fluids.get(carries, ()):
            run.put(air(key), cars & run.car.exists(key), states.YES)
    elif carries == "coolant":
        _runs_out(run, connection, cars, before=before)
    elif carries in _LOSES_SOME:
        for key in _one_of(run, carries):
            full = run.where(key, cars & run.car.exists(key), states.FULL)
            run.put(key, full, states.LOW)


_OF_THE_BRAKES = re.compile(r"\b(?:brakes?|calipers?)\b(?!.*\b(?:lamp|light|switch|sensor)\b)")
"""How parts are called that press on or are pressed on: common practice, no source."""


def brakes_apart(run: Run, part: Part, cars: Region) -> None:
    """Note that a part of the brakes came off: the first press of the pedal goes to the floor."""
    if cars and _OF_THE_BRAKES.search(f"{part.name} {part.id.replace('-', ' ')}".casefold()):
        run.put(PARTS_TEST, cars, states.YES)


def drained(run: Run, fluid: Fluid, cars: Region) -> None:
    """Note that a system was emptied: what it is emptied through has to be tight again."""
    for carried in circuits_of(fluid.kind):
        run.put(leak_test(carried), cars, states.YES)


def circuits_of(kind: str) -> list[str]:
    """Return the circuits that a fluid of this kind runs in: `gear-oil` is looked for as oil."""
    return [each for each, words in LEAKS.items() if each != "air" and words.search(kind)]


def _one_of(run: Run, kind: str) -> tuple[Key, ...]:
    """Return the only fluid of a kind; nothing where there are several to choose from."""
    keys = run.car.fluids.get(kind, ())
    return keys if len(keys) == 1 else ()


def _runs_out(run: Run, connection: Connection, cars: Region, *, before: bool) -> None:
    for key in _one_of(run, "coolant"):
        where = cars & run.car.exists(key)
        full = where - run.where(key, where, states.EMPTY)
        if full:
            if not before:
                opened_ = run.does(run.car.keys[connection.id], "is")
                run.find(
                    "not-drained", full, f"{opened_} opened with {run.called(key)} still in",
                    f"`drain {key}` first", connection.place, run.car.things[key].place,
                )  # fmt: skip
            run.put(key, full, states.EMPTY)


# -- tested ----------------------------------------------------------------------------------------


def soft_pedal(run: Run, cars: Region) -> Region:
    """Return where there is air in the brakes: a test of the pedal proves nothing there."""
    found = run.none
    for key in run.car.fluids.get("brake-fluid", ()):
        found = found | run.where(air(key), cars, states.YES) | run.where(key, cars, states.EMPTY)
    return found


def test_of_circuits(run: Run, words: str, cars: Region) -> None:
    """Note what a test or a look proves: no leaks, or brakes that hold."""
    if "leak" in words:
        named = [carried for carried, said in LEAKS.items() if said.search(words)]
        other = re.search(r"\b(?:charge-air|boost|vacuum|vapour|exhaust|brake[- ]fluid)\b", words)
        if other and other[0] in {"charge-air", "boost"}:
            _tested_while_open(run, "charge-air", cars)
        for carried in named or (() if other else LEAKS):
            open_ = run.none
            if carried not in _TRIED_OPEN:
                open_ = _tested_while_open(run, carried, cars)
            _proved(run, carried, cars - open_)
            run.put(leak_test(carried), open_, states.NO)
        if _BRAKE_FLUID.search(words):
            _tested_while_open(run, "brake-fluid", cars)
    elif _BRAKES.search(words):
        run.put(PARTS_TEST, cars, states.NO)
        due = run.where(BRAKE_TEST, cars, states.YES)
        soft = soft_pedal(run, due)
        run.put(SOFT_TEST, soft, states.YES)
        run.put(BRAKE_TEST, due - soft, states.NO)


def is_test(words: str) -> bool:
    """Tell whether words are those of a test that is understood: of leaks, or of the brakes."""
    return "leak" in words or bool(_BRAKES.search(words))


def _proved(run: Run, carried: str, cars: Region) -> None:
    """Take a circuit as tested; without pressure a test shows nothing."""
    test = leak_test(carried)
    if test not in run.tracks:
        return
    due = run.where(test, cars, states.YES, states.DEAD)
    dead = run.none
    live = _UNDER_PRESSURE.get(carried)
    if live is not None and live in run.tracks:
        dead = run.where(live, due, states.SAFE)
    for key in _one_of(run, carried):
        dead = dead | run.where(key, due, states.EMPTY)
    run.put(test, dead, states.DEAD)
    run.put(test, due - dead, states.NO)


def untested(run: Run, carried: str, cars: Region) -> Region:
    """Return where a circuit that was opened is still to be looked at for leaks."""
    test = leak_test(carried)
    if test not in run.tracks:
        return run.none
    due = run.where(test, cars, states.YES)
    dead = run.where(test, cars, states.DEAD)
    live = _UNDER_PRESSURE.get(carried)
    if live is not None and live in run.tracks:
        dead = dead - run.where(live, dead, states.SAFE)
    return due | dead


def left_open(run: Run, carried: str, cars: Region) -> Region:
    """Return where a circuit ends empty or open: another finding says that."""
    found = run.none
    for key in _one_of(run, carried):
        found = found | run.where(key, cars, states.EMPTY)
    for line in run.car.carrying.get(carried, ()):
        if run.touched(line):
            found = found | stays_open(run, line, cars)
    return found


def _tested_while_open(run: Run, carried: str, cars: Region) -> Region:
    found = run.none
    for line in run.car.carrying.get(carried, ()):
        if run.touched(line):
            found = found | _line_is_open(run, line, carried, cars)
    return found


def _line_is_open(run: Run, line: Key, carried: str, cars: Region) -> Region:
    """Find a line that is still open when what it carries is looked for; return where it is."""
    found = run.none
    for key in run.car.of_line(line):
        open_ = run.where(key, cars, states.OPEN, states.NEW)
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
            found = found | open_
    return found
