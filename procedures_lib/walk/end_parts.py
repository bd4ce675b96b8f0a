"""Parts at the end: all in their places, none left on what has gone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Part
from procedures_lib.walk.disposing import wanted_later
from procedures_lib.walk.reach import carriers
from procedures_lib.walk.states import (
    IN_PLACE,
    IS_FITTED,
    IS_GONE,
    IS_LIFTED,
    IS_NEW,
    NOT_THERE,
    OFF,
)

if TYPE_CHECKING:
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run


def part_left(run: Run, part: Part) -> None:
    """Find a part that is off, lifted, never fitted, or on what is itself off for good."""
    name = part.id
    where = run.car.expected(name)
    missing = where - run.where(name, IS_FITTED, where) - run.where(name, IS_GONE, where)
    missing = missing - run.as_begun(name, missing)
    if missing:
        _missing(run, part, missing)
    _on_what_is_off(run, part, run.where(name, IS_FITTED, where))


def _missing(run: Run, part: Part, cars: Region) -> None:
    name = part.id
    lifted = run.where(name, IS_LIFTED, cars)
    if lifted:
        _left(run, part, lifted, "is left lifted", f"`seat {name}` before the end")
    off = run.where(name, frozenset({OFF}), cars)
    if off:
        _left(run, part, off, "is left off", f"`fit {name}` before the end, or say where it goes")
    new = run.where(name, IS_NEW, cars)
    for old in run.car.older(name):
        new = new - run.where(old, IN_PLACE, new)
    if new and next(run.car.older(name), None) is not None:
        _left(run, part, new, "is never fitted", f"`fit {name}` in place of what came off")


def _left(run: Run, part: Part, cars: Region, how: str, hint: str) -> None:
    at = run.track(part.id).mark(cars)
    at = at or next((m for o in run.car.older(part.id) if (m := run.track(o).mark(cars))), None)
    run.find("left-off", cars, run.does(part.id, how), hint, run.last_place(cars),
             part.place, at=at, about=part.id)  # fmt: skip


def _on_what_is_off(run: Run, part: Part, cars: Region) -> None:
    """Find a part that sits on one that has been replaced: it went into the box with it."""
    name = part.id
    cars = cars - run.forgiven.get(name, run.none)
    for parent, where in carriers(run, name, cars):
        off = run.where(parent, NOT_THERE, where) - run.car.expected(parent)
        off = off & wanted_later(run, name)
        if off:
            run.find(
                "left-on-discarded", off,
                f"{run.does(name, 'is')} left on {run.called(parent)}, which is off for good",
                f"`remove {name}` and fit it on what replaces `{parent}`", part.place,
                at=run.track(parent).mark(off), about=name,
            )  # fmt: skip
