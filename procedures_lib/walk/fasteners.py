"""Fasteners: loosen, remove, start, fit, tighten."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial

from procedures_lib.engineering.tightening import StageKind
from procedures_lib.findings import Level
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import stack, states
from procedures_lib.walk.box import from_kit, gone_for_good, not_again
from procedures_lib.walk.hazards import let_out
from procedures_lib.walk.openings import plug_in
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import (
    blocked_by,
    carriers,
    connection_out_of_reach,
    hidden_or_below,
    in_front,
    made_on_bench,
    old_still_there,
)
from procedures_lib.walk.settings import disturbed
from procedures_lib.walk.states import ON_STANDS, VEHICLE, Key, StageReached


def loosen(run: Run, group: Fastener, cars: Region) -> None:
    """Slacken a group."""
    key = run.car.keys[group.id]
    slack = run.where(key, cars, states.LOOSE, *states.IS_OUT)
    run.nothing_to_do(key, slack, "is not tight", "leave this out", group.place)
    _turned_out(run, key, group, cars - slack)
    if _holds_a_wheel(run, key):
        tight = run.where(key, cars - slack, states.TIGHT)
        _at_ride_height(run, key, tight - _raised_here(run, tight), "cracked loose")
        _at_ride_height(run, key, _raised_here(run, tight), "cracked loose", for_good=True)
    run.put(key, cars - run.where(key, cars, *states.IS_OUT), states.LOOSE)
    _through_it(run, key, cars - slack)


def remove(run: Run, group: Fastener, cars: Region) -> None:
    """Take a group out."""
    key = run.car.keys[group.id]
    out = run.where(key, cars, *states.IS_OUT)
    run.nothing_to_do(key, out, "is out already", "leave this out", group.place)
    stack.comes_off(run, key, cars - out)
    _turned_out(run, key, group, cars - out)
    if _holds_a_wheel(run, key):
        _cracked_in_the_air(run, key, run.where(key, cars - out, states.TIGHT))
    run.put(key, cars - run.gone_too_early(key, cars), states.OUT)
    _through_it(run, key, cars - out)


def _turned_out(run: Run, key: Key, group: Fastener, cars: Region) -> None:
    """Judge a group that is slackened or taken out."""
    stack.is_turned(run, key, cars)
    within_reach(run, key, cars)
    let_out(run, key, f"{group.name} {group.id.replace('-', ' ')}", cars)
    disturbed(run, key, cars)
    _used(run, key, group, cars)


def _through_it(run: Run, key: Key, cars: Region) -> None:
    """Have what was tight through a group loose with it, and used, where it is for one use."""
    for each, tight in stack.loosened(run, key, cars):
        other = run.car.things[each]
        if isinstance(other, Fastener) and not other.reusable:
            run.put(used(each), tight, states.YES)


def _used(run: Run, key: Key, group: Fastener, cars: Region) -> None:
    if not group.reusable:
        run.put(used(key), run.where(key, cars, states.TIGHT), states.YES)


def used(group: Key) -> Key:
    """Return the key of whether a group for one use has been tight before."""
    return Key(states.USED, group.id)


def start(run: Run, group: Fastener, cars: Region) -> None:
    """Turn a group in by hand."""
    key = run.car.keys[group.id]
    coming = _goes_in(run, key, group, cars, "is tight already")
    _nothing_to_hold(run, key, group, coming)
    run.put(key, cars, states.STARTED)


def fit(run: Run, group: Fastener, cars: Region) -> None:
    """Put a group in: home when it takes no torque, else started by hand."""
    key = run.car.keys[group.id]
    turned = group.how_tight and group.takes_torque
    if turned or stack.turned_by_another(run, key):
        start(run, group, cars)
        return
    coming = _goes_in(run, key, group, cars, "is in already")
    within_reach(run, key, coming)
    _nothing_to_hold(run, key, group, coming)
    run.put(key, cars, states.TIGHT)


def _goes_in(run: Run, key: Key, group: Fastener, cars: Region, so: str) -> Region:
    """Judge a group that goes in, and return the cars on which it was not in."""
    tight = run.where(key, cars, states.TIGHT)
    run.nothing_to_do(key, tight, so, "remove it first, or leave this out", group.place)
    _comes_from(run, key, group, cars - tight)
    coming = run.where(key, cars, *states.IS_OUT)
    stack.comes_on(run, key, coming)
    plug_in(run, key, coming)
    return cars - tight


def tighten(run: Run, group: Fastener, cars: Region) -> None:
    """Tighten a group, through all its stages or the one that the action names."""
    key = run.car.keys[group.id]
    stage = run.action.stage if run.action else 0
    tight = run.where(key, cars, states.TIGHT)
    if tight:
        _tight_already(run, key, group, tight, stage)
    todo = cars - tight
    _comes_from(run, key, group, todo)
    coming = run.where(key, todo, *states.IS_OUT)
    stack.comes_on(run, key, coming)
    plug_in(run, key, coming)
    stack.is_turned(run, key, todo)
    within_reach(run, key, todo)
    part = run.car.keys.get(group.into.part or "") if group.into else None
    if part is not None and part.kind is states.PART:
        _goes_into(run, key, part, todo)
    if stage:
        _nothing_to_hold(run, key, group, todo)
    for count, where in stage_counts(run, group, todo) if stage else ():
        _stage(run, key, group, where, stage, count)
    for count, where in stage_counts(run, group, cars):
        final = not stage or stage >= count
        if final and (group.at == "ride-height" or _holds_a_wheel(run, key)):
            _at_ride_height(run, key, where)
        run.put(key, where, states.TIGHT if final else StageReached(stage))
        if final:
            stack.tightened(run, key, where)


_HOLDS_ITSELF = frozenset({"clamp", "tie", "washer"})
"""What is pushed over the end of a hose, or laid on its seat, before what it holds."""


def _nothing_to_hold(run: Run, key: Key, group: Fastener, cars: Region) -> None:
    """Find a group that goes in, not yet tight, where nothing that it holds is there yet.

    What is put together on the bench is let pass, and what another finding is about.
    """
    users = run.car.users.get(run.car.line(key), ())
    if run.trial or group.kind in _HOLDS_ITSELF or not users:
        return
    into = run.car.keys.get(group.into.part or "") if group.into else None
    here = cars & run.car.exists(key)
    away = run.unforgiven(key, _bare(run, users, run.any_there(into, here) if into else here))
    if away:
        listed = ", ".join(f"`{user}`" for user in users)
        run.find(
            "tightened-too-early", away, f"`{run.verb} {key}`, and what it holds is not there yet:"
            f" {listed}", "do it after that is in its place", group.place,
            unless=partial(_otherwise_told, run, key, users), level=Level.WARNING,
        )  # fmt: skip


def _bare(run: Run, users: Iterable[Key], cars: Region) -> Region:
    """Return where none of these is there."""
    for user in users:
        cars = cars - run.any_there(user, cars)
    return cars


def _otherwise_told(run: Run, key: Key, users: Iterable[Key], cars: Region) -> Region:
    """Return where another finding is about a group, or about what it holds."""
    called = run.called(key)
    if any(called in finding.message for finding in run.findings):
        return cars
    told = _bare(run, users, cars)
    for user in users:
        told = told | (run.forgiven.get(user, run.none) & cars)
    return told


def _holds_a_wheel(run: Run, key: Key) -> bool:
    return any(user in run.car.wheels for user in run.car.users.get(run.car.line(key), ()))


def stage_counts(run: Run, group: Fastener, cars: Region) -> Iterator[tuple[int, Region]]:
    """Yield how many stages a group has, with the cars of which that is so."""
    rest = cars
    for when, stages in group.how_tight.by_condition:
        where = rest & run.car.space.region(when)
        if where:
            yield len(stages), where
        rest = rest - where
    if rest:
        yield 0, rest


def _goes_into(run: Run, key: Key, part: Key, cars: Region) -> None:
    """Find a group that is tightened into a part which is not there."""
    line = run.car.line(part)
    away = cars & run.car.exists(part)
    away = away - run.any_there(part, away)
    for user in run.car.users.get(run.car.line(key), ()) if away else ():
        if run.car.line(user) == line:
            return
        for parent, where in carriers(run, user, away):
            if run.car.line(parent) == line:
                away = away - where
        on_bench = away - run.any_there(run.car.line(user), away)
        run.put(made_on_bench(key), on_bench, states.YES)
        away = away - on_bench
    if away:
        run.find(
            "tightened-too-early", away,
            f"{run.does(key, 'is')} tightened into {run.called(part)}, which is not there",
            f"fit `{part}` first", run.track(part).mark(away), run.car.things[part].place,
            unless=lambda left: left - run.any_there(part, left),
        )  # fmt: skip


def _tight_already(run: Run, key: Key, group: Fastener, cars: Region, stage: int) -> None:
    """Judge tightening what is tight: a second pull with the wrench does no harm, an angle does."""
    never = run.track(key).unchanged(cars)
    hint = f"`loosen {key}` first"
    run.nothing_to_do(key, never, "is tight, and was never loosened", hint, group.place)
    if stage or any(each.kind is StageKind.ANGLE for each in group.how_tight.every):
        hint = "a stage is done once; remove it first"
        run.nothing_to_do(key, cars - never, "is tight already", hint, group.place)


def _stage(run: Run, key: Key, group: Fastener, cars: Region, stage: int, last: int) -> None:
    if stage > last:
        run.find(
            "stage-skipped", cars, f"{run.does(key, 'has')} no stage {stage}",
            f"it has {last}" if last else "add `tighten: [...]` to it", group.place,
        )  # fmt: skip
        return
    for where, state, mark in run.track(key).within(cars):
        reached = state.number if isinstance(state, StageReached) else 0
        if stage > reached + 1:
            run.find(
                "stage-skipped", where,
                f"{run.does(key, 'goes')} to stage {stage} without stage {reached + 1}",
                f"`tighten {key} stage {reached + 1}` first, on every fastener of the group",
                mark, group.place,
            )  # fmt: skip
        elif stage <= reached:
            past = f"is past stage {stage} already"
            run.nothing_to_do(key, where, past, "a stage is done once", group.place)


def _cracked_in_the_air(run: Run, key: Key, cars: Region) -> None:
    """Find wheel nuts that are first turned when the car stands on its stands."""
    for where, _, mark in run.track(ON_STANDS).within(cars) if ON_STANDS in run.tracks else ():
        up = run.where(VEHICLE, where, states.RAISED) if mark is not None else run.none
        up = run.untold("ride-height", "cracked", up)
        run.find(
            "ride-height", up, f"{run.does(key, 'is')} turned loose while the car is on its stands",
            f"`loosen {key}` while the wheels carry the car", mark, level=Level.WARNING,
        )  # fmt: skip


def _raised_here(run: Run, cars: Region) -> Region:
    """Return where this procedure itself has raised the car."""
    found = run.none
    for where, state, mark in run.track(VEHICLE).within(cars) if VEHICLE in run.tracks else ():
        if state == states.RAISED and mark is not None:
            found = found | where
    return found


def _at_ride_height(
    run: Run, key: Key, cars: Region, turned: str = "tightened", *, for_good: bool = False
) -> None:
    """Find what is turned while the car is raised; unless ``for_good``, not if it is left so."""
    up = run.where(VEHICLE, cars, states.RAISED) if VEHICLE in run.tracks else run.none
    if up:
        run.find(
            "ride-height", up, f"{run.does(key, 'is')} {turned} while the car is raised",
            "do it with the car's weight on its wheels",
            run.track(VEHICLE).mark(up), run.car.things[key].place,
            unless=None if for_good else lambda cars: run.where(VEHICLE, cars, states.RAISED),
        )  # fmt: skip


def _comes_from(run: Run, key: Key, group: Fastener, cars: Region) -> None:
    """Judge what goes in: not gone, not used before when it is for one use, out of the kit."""
    if not cars:
        return
    gone = gone_for_good(run, key, cars)
    hint = "use what replaces it, or name a new one among the supplies"
    run.nothing_to_do(key, gone, "is gone for good", hint, group.place)
    if not group.reusable and used(key) in run.tracks:
        again = run.where(used(key), cars, states.YES) - gone
        if again:
            not_again(run, key, again)
            run.put(used(key), again, states.NO)
    new = run.where(key, cars, states.NEW)
    if key in run.car.new:
        from_kit(run, key, new)
    for old in run.car.older(key):
        _old_still_in(run, key, old, new)


def _old_still_in(run: Run, key: Key, old: Key, cars: Region) -> None:
    """Find a new group that goes in while the one that it replaces is still in."""
    there = cars & run.car.exists(old)
    there = run.unforgiven(old, there - run.where(old, there, *states.IS_OUT))
    old_still_there(run, key, old, there, "go in")


def within_reach(run: Run, key: Key, cars: Region) -> None:
    """Find a group that is hidden, or behind something, with everything that it holds."""
    cars = hidden_or_below(run, key, cars)
    behind = free = run.none
    what = None
    for user in run.car.users.get(run.car.line(key), ()) if cars else ():
        there = run.there(user, cars)
        if not there:
            continue
        way = connection_out_of_reach if user.kind is states.CONNECTION else blocked_by
        blocked, by = way(run, user, there)
        what = what or by
        behind = behind | blocked
        free = free | (there - blocked)
    in_front(run, key, behind - free, what)
