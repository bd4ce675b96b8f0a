"""Tests: what each proves, and what it can't prove yet."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.walk.driving import drive, soft_pedal
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.states import (
    BATTERY,
    BRAKE_TEST,
    DEAD,
    FUEL_TEST,
    IS_DEAD,
    IS_MADE,
    IS_OPEN,
    IS_SAFE,
    IS_YES,
    NO,
    SOFT_TEST,
    YES,
)

if TYPE_CHECKING:
    from procedures_lib.entities.work import Action
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run

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
