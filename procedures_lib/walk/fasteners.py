"""Fasteners: loosen, remove, start, fit, tighten."""

from __future__ import annotations

from procedures_lib.engineering.tightening import StageKind
from procedures_lib.language.entities.car import TORQUE_FREE_KINDS, Connection, Fastener, Part
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk.new_parts import from_kit, not_again
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import blocked_by, carriers, clear_the_way, connection_out_of_reach
from procedures_lib.walk.state import (
    GONE,
    IN_PLACE,
    IS_GONE,
    IS_MADE,
    IS_NEW,
    IS_OUT,
    IS_RAISED,
    IS_TIGHT,
    LOOSE,
    OUT,
    STARTED,
    TIGHT,
    VEHICLE,
    stage_reached,
    stage_state,
)

USED = "used "
"""Before a group's id: the track that says whether it has been tight before."""


def loosen(run: Run, group: Fastener, cars: Region) -> None:
    """Slacken a group."""
    slack = run.where(group.id, frozenset({LOOSE, OUT, GONE}), cars)
    slack = slack | run.where(group.id, IS_NEW, cars)
    if slack:
        _nothing(run, group, slack, "not tight", "leave this out")
    _reach(run, group, cars - slack)
    _used(run, group, cars)
    run.put(group.id, cars - run.where(group.id, IS_OUT, cars), LOOSE)


def remove(run: Run, group: Fastener, cars: Region) -> None:
    """Take a group out."""
    out = run.where(group.id, IS_OUT, cars)
    if out:
        _nothing(run, group, out, "out already", "leave this out")
    _reach(run, group, cars - out)
    _used(run, group, cars)
    run.put(group.id, cars - run.gone_too_early(group.id, cars), OUT)


def _used(run: Run, group: Fastener, cars: Region) -> None:
    if not group.reusable:
        run.put(USED + group.id, run.where(group.id, IS_TIGHT, cars), "yes")


def start(run: Run, group: Fastener, cars: Region) -> None:
    """Turn a group in by hand."""
    tight = run.where(group.id, IS_TIGHT, cars)
    if tight:
        _nothing(run, group, tight, "tight already", "remove it first, or leave this out")
    _comes_from(run, group, cars - tight)
    run.put(group.id, cars, STARTED)


def fit(run: Run, group: Fastener, cars: Region) -> None:
    """Put a group in: home when it takes no torque, else started by hand."""
    if group.tighten and group.kind not in TORQUE_FREE_KINDS:
        start(run, group, cars)
        return
    tight = run.where(group.id, IS_TIGHT, cars)
    if tight:
        _nothing(run, group, tight, "in already", "remove it first, or leave this out")
    _comes_from(run, group, cars - tight)
    _reach(run, group, cars - tight)
    run.put(group.id, cars, TIGHT)


def tighten(run: Run, group: Fastener, cars: Region) -> None:
    """Tighten a group, through all its stages or the one that the action names."""
    stage = run.action.stage if run.action else 0
    last = len(group.tighten)
    tight = run.where(group.id, IS_TIGHT, cars)
    if tight:
        _tight_already(run, group, tight)
    _comes_from(run, group, cars - tight)
    _reach(run, group, cars - tight)
    if group.into is not None and group.into.part is not None:
        _goes_into(run, group, str(group.into.part), cars - tight)
    if stage:
        _stage(run, group, stage, cars - tight)
    final = not stage or stage >= last
    if final and group.at == "ride-height":
        _at_ride_height(run, group, cars)
    run.put(group.id, cars, TIGHT if final else stage_state(stage))


def _goes_into(run: Run, group: Fastener, part: str, cars: Region) -> None:
    """Find a group that is tightened into a part which is not there."""
    if not isinstance(run.car.things.get(part), Part):
        return
    line = run.car.line(part)
    away = cars & run.car.exists(part)
    away = away - run.any_of(line, IN_PLACE, away)
    for user in run.car.users.get(run.car.line(group.id), ()) if away else ():
        if run.car.line(user) == line:
            return
        for parent, where in carriers(run, user, away):
            if run.car.line(parent) == line:
                away = away - where
    if away:
        run.find(
            "tightened-too-early", away,
            f"{run.does(group.id, 'is')} tightened into {run.called(part)}, which is not there",
            f"fit `{part}` first", run.track(part).mark(away), run.car.things[part].place,
            unless=lambda left: left - run.any_of(line, IN_PLACE, left),
        )  # fmt: skip


def _tight_already(run: Run, group: Fastener, cars: Region) -> None:
    """Judge tightening what is tight: a second pull with the wrench does no harm, an angle does."""
    never = run.none
    for where, _, mark in run.track(group.id).within(cars):
        if mark is None:
            never = never | where
    if never:
        _nothing(run, group, never, "tight, and was never loosened", f"`loosen {group.id}` first")
    again = cars - never
    once = run.action is not None and run.action.stage
    if again and (once or any(stage.kind is StageKind.ANGLE for stage in group.tighten)):
        _nothing(run, group, again, "tight already", "a stage is done once; remove it first")


def _stage(run: Run, group: Fastener, stage: int, cars: Region) -> None:
    last = len(group.tighten)
    if stage > last:
        run.find(
            "stage-skipped", cars, f"{run.does(group.id, 'has')} no stage {stage}",
            f"it has {last}" if last else "add `tighten: [...]` to it", group.place,
        )  # fmt: skip
        return
    for where, state, mark in run.track(group.id).within(cars):
        reached = stage_reached(state)
        if stage > reached + 1:
            run.find(
                "stage-skipped", where,
                f"{run.does(group.id, 'goes')} to stage {stage} without stage {reached + 1}",
                f"`tighten {group.id} stage {reached + 1}` first, on every fastener of the group",
                mark, group.place,
            )  # fmt: skip
        elif stage <= reached:
            _nothing(run, group, where, f"past stage {stage} already", "a stage is done once")


def _at_ride_height(run: Run, group: Fastener, cars: Region) -> None:
    up = run.where(VEHICLE, IS_RAISED, cars) if VEHICLE in run.tracks else run.none
    if up:
        run.find(
            "ride-height", up,
            f"{run.does(group.id, 'is')} tightened while the car is raised",
            "lower the car first: its weight has to stand on the wheels",
            run.track(VEHICLE).mark(up), group.place,
            unless=lambda cars: run.where(VEHICLE, IS_RAISED, cars),
        )  # fmt: skip


def _comes_from(run: Run, group: Fastener, cars: Region) -> None:
    """Judge what goes in: not gone, not used before when it is for one use, out of the kit."""
    if not cars:
        return
    name = group.id
    gone = run.where(name, IS_GONE, cars) if name not in run.car.renewed else run.none
    if gone:
        _nothing(run, group, gone, "gone for good", "use what replaces it")
    if not group.reusable and USED + name in run.tracks:
        again = run.where(USED + name, frozenset({"yes"}), cars) - gone
        again = again - run.where(name, frozenset({"stage 1", "stage 2", "stage 3"}), again)
        if again:
            not_again(run, group, again)
            run.put(USED + name, again, "no")
    if name in run.car.new:
        from_kit(run, name, run.where(name, IS_NEW, cars))
    for old in run.car.older(name):
        _old_still_in(run, group, old, run.where(name, IS_NEW, cars))


def _old_still_in(run: Run, group: Fastener, old: str, cars: Region) -> None:
    """Find a new group that goes in while the one that it replaces is still in."""
    there = cars & run.car.exists(old)
    there = run.unforgiven(old, there - run.where(old, IS_OUT | IS_GONE, there))
    if there:
        run.find(
            "not-reachable", there,
            f"{run.called(group.id)} can't go in: {run.does(old, 'is')} still in the same place",
            f"remove `{old}` first", run.track(old).mark(there), run.car.things[old].place,
        )  # fmt: skip
        run.assume(old, there, OUT)


def _reach(run: Run, group: Fastener, cars: Region) -> None:
    """Find a group that is behind something, with everything that it holds."""
    users = run.car.users.get(run.car.line(group.id), ()) if cars else ()
    behind = free = run.none
    what = ""
    for user in users:
        thing = run.car.things[user]
        states = IN_PLACE if isinstance(thing, Part) else IS_MADE
        there = run.where(user, states, cars)
        if not there:
            continue
        way = connection_out_of_reach if isinstance(thing, Connection) else blocked_by
        blocked, by = way(run, user, there)
        what = what or by
        behind = behind | blocked
        free = free | (there - blocked)
    if behind:
        _not_reachable(run, group, behind - free, what)


def _not_reachable(run: Run, group: Fastener, cars: Region, what: str) -> None:
    if cars:
        run.find(
            "not-reachable", cars,
            f"{run.called(group.id)} can't be reached: {run.does(what, 'is')} in front of it",
            f"take `{what}` off first, or fit it after this", run.track(what).mark(cars),
            group.place,
        )  # fmt: skip
        clear_the_way(run, what, cars)


def _nothing(run: Run, group: Fastener, cars: Region, how: str, hint: str) -> None:
    cars = run.unforgiven(group.id, cars)
    if cars:
        verb = run.action.verb if run.action else ""
        run.find(
            "nothing-to-undo", cars, f"`{verb} {group.id}`: {run.does(group.id, 'is')} {how}",
            hint, run.track(group.id).mark(cars), group.place,
        )  # fmt: skip
        run.forgive(group.id, cars)
