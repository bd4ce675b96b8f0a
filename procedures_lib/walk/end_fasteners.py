"""Fasteners at the end: all tight, through their last stage."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.walk.states import (
    IS_GONE,
    IS_NEW,
    IS_OUT,
    IS_TIGHT,
    stage_reached,
)
from procedures_lib.walk.wanted import used_by

if TYPE_CHECKING:
    from procedures_lib.entities.car import Fastener
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run
    from procedures_lib.walk.track import Mark


def fastener_left(run: Run, group: Fastener) -> None:
    """Find a group that is loose, started, out or short of its last stage."""
    name = group.id
    line = run.car.line(name)
    wanted = run.car.expected(name)
    not_tight = wanted - run.where(name, IS_TIGHT, wanted) - run.where(name, IS_GONE, wanted)
    not_tight = not_tight - run.as_begun(name, not_tight)
    if not not_tight:
        return
    if run.car.users.get(line):
        out = run.where(name, IS_OUT, not_tight)
        not_tight = (not_tight - out) | used_by(run, line, out)
    elif name in run.car.new:
        not_tight = not_tight - run.where(name, IS_NEW, not_tight)
    for old in run.car.older(name):
        not_tight = not_tight - run.where(old, IS_TIGHT, not_tight)
    for where, state, _ in run.track(name).within(not_tight):
        stage = stage_reached(state)
        if stage:
            _short(run, group, where, stage)
        else:
            _left(run, group, where, "new" if state == "new" else state)


def _short(run: Run, group: Fastener, cars: Region, stage: int) -> None:
    run.find(
        "stage-skipped", cars,
        f"{run.does(group.id, 'ends')} at stage {stage} of {len(group.tighten)}",
        f"`tighten {group.id} stage {stage + 1}` before the end", group.place,
        run.last_place(cars), at=run.track(group.id).mark(cars), about=group.id,
    )  # fmt: skip


def _left(run: Run, group: Fastener, cars: Region, state: str) -> None:
    how = {"new": "is never put in", "out": "is left out", "loose": "is left loose"}
    hint = f"`tighten {group.id}` before the end"
    if not group.tighten:
        hint = f"`fit {group.id}` before the end"
    run.find(
        "left-loose", cars, run.does(group.id, how.get(state, "is only started by hand")),
        hint, run.last_place(cars), group.place, at=_since(run, group, cars),
        about=group.id,
    )  # fmt: skip


def _since(run: Run, group: Fastener, cars: Region) -> Mark | None:
    """Return where the group was last changed, or what it should hold was put in place."""
    names = [group.id, *run.car.older(group.id), *run.car.users.get(run.car.line(group.id), ())]
    marks = (run.track(name).mark(cars) for name in names)
    return next((mark for mark in marks if mark is not None), None)
