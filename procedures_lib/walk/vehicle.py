"""The car as a whole: raise, lower, program; work that can't be undone."""

from __future__ import annotations

import re
from functools import partial
from typing import TYPE_CHECKING

from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.states import (
    BATTERY,
    CALIBRATION,
    IN_PLACE,
    IS_RAISED,
    IS_SAFE,
    LOADED,
    ON_WHEELS,
    RAISED,
    VEHICLE,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.work import Step
    from procedures_lib.manual import NumberedStep
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run

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
