"""The end of a procedure: a car that can leave, in every variant, and a box that is empty."""

from __future__ import annotations

from collections.abc import Callable

from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import stack, states
from procedures_lib.walk.box import kit_left, line_gone, supplied, wanted_later
from procedures_lib.walk.circuits import LEAKS, leak_test, left_open, level_of, soft_pedal, untested
from procedures_lib.walk.fasteners import stage_counts
from procedures_lib.walk.hand_over import ends_otherwise
from procedures_lib.walk.openings import never_closed
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import carriers, held
from procedures_lib.walk.states import (
    BRAKE_TEST,
    CALIBRATION,
    ENGINE,
    SOFT_TEST,
    VEHICLE,
    Key,
    Kind,
    StageReached,
    Standing,
)


def end(run: Run) -> None:
    """Find all that is left open, off, loose, covered, drained, isolated, raised or unused."""
    run.action = None
    run.mark = None
    run.settle_provisional()
    if not run.hands_all_on:
        for key in to_be_judged(run):
            thing_left(run, key)
        rest_left(run)
        ends_otherwise(run)
    kit_left(run)


def to_be_judged(run: Run) -> list[Key]:
    """Return all things that may not be as they should: touched, or new; in the order of ids."""
    things = (key for key in {*run.tracks, *run.car.new} if key in run.car.things)
    return sorted(things, key=lambda key: key.id)


def thing_left(run: Run, key: Key) -> None:
    """Find one thing that is left open, off, loose, covered or drained."""
    _LEFT[key.kind](run, key)


def rest_left(run: Run) -> None:
    """Find what is left isolated, unbled, raised, untested or with the old calibration."""
    for key in list(run.tracks):
        if key.kind is states.AIR:
            _air(run, key)
        elif key.kind is states.SUPPORT:
            _supported(run, key)
        elif key.kind is states.SETTING:
            _not_adjusted(run, key)
        elif key.kind is states.HAZARD and key != ENGINE:  # which cools, and needs no more
            safe = run.unforgiven(key, run.where(key, run.all, states.SAFE))
            _left_so(run, "left-isolated", key, safe - run.as_begun(key, safe),
                     f"`{key}` is left isolated", f"`restore {key}` before the end")  # fmt: skip
    up = run.where(VEHICLE, run.all, states.RAISED)
    _left_so(run, "left-raised", VEHICLE, up - run.as_begun(VEHICLE, up),
             "the car is left raised", "`lower vehicle` before the end")  # fmt: skip
    _tests(run)
    _calibration(run)


def _left_so(
    run: Run, check: str, key: Key, cars: Region, how: str, hint: str, since: Key | None = None
) -> None:
    """Find what ends in another state than the car arrived in, ``since`` when that key changed."""
    if cars:
        run.find(
            check, cars, how, hint, run.last_place(cars),
            at=run.track(since or key).mark(cars), about=key,
        )  # fmt: skip


# -- fasteners -------------------------------------------------------------------------------------


def _fastener(run: Run, key: Key) -> None:
    """Find a group that is loose, started, out or short of its last stage."""
    line = run.car.line(key)
    wanted = run.car.expected(key)
    loose = wanted - run.where(key, wanted, states.TIGHT)
    gone = run.where(key, loose, states.GONE)
    loose = (loose - gone) | _wanted_new(run, key, gone)
    loose = loose - run.as_begun(key, loose) - stack.open_above(run, key, loose)
    group = run.car.things[key]
    if not loose or not isinstance(group, Fastener):
        return
    if run.car.users.get(line):
        out = run.where(key, loose, *states.IS_OUT)
        loose = (loose - out) | held(run, line, out)
    elif key in run.car.new:
        loose = loose - run.where(key, loose, states.NEW)
    for old in run.car.older(key):
        loose = loose - run.where(old, loose, states.TIGHT)
    for where, state, _ in run.track(key).within(loose):
        if isinstance(state, StageReached):
            _short(run, key, group, where, state.number)
        else:
            _loose(run, key, group, where, _LOOSE.get(state, "is only started by hand"))


_LOOSE: dict[Standing, str] = {
    states.NEW: "is never put in",
    states.OUT: "is left out",
    states.LOOSE: "is left loose",
    states.GONE: "goes for good, and no new one goes in",
}


def _wanted_new(run: Run, key: Key, gone: Region) -> Region:
    """Return where what went for good leaves a joint open, or lies new and unused."""
    if not gone or key in run.car.renewed:  # of which the box says it
        return run.none
    wanted = stack.missed(run, key, gone) | (gone & supplied(run, run.car.things[key]))
    for user in run.car.users_named.get(key, ()):
        wanted = wanted | run.there(user, gone)
    return wanted


def _short(run: Run, key: Key, group: Fastener, cars: Region, stage: int) -> None:
    for count, where in stage_counts(run, group, cars):
        run.find(
            "stage-skipped", where, f"{run.does(key, 'ends')} at stage {stage} of {count}",
            f"`tighten {key} stage {stage + 1}` before the end", group.place,
            run.last_place(where), at=run.track(key).mark(where), about=key,
        )  # fmt: skip


def _loose(run: Run, key: Key, group: Fastener, cars: Region, how: str) -> None:
    """Find it, since it was last changed, or what it should hold was put in place."""
    since = (key, *run.car.older(key), *run.car.users.get(run.car.line(key), ()))
    run.find(
        "left-loose", cars, run.does(key, how),
        f"`{'tighten' if group.how_tight else 'fit'} {key}` before the end",
        run.last_place(cars), group.place, at=run.first_mark(since, cars), about=key,
    )  # fmt: skip


# -- parts -----------------------------------------------------------------------------------------


def _part(run: Run, key: Key) -> None:
    """Find a part that is off, lifted, never fitted, or on what is itself off for good."""
    where = run.car.expected(key)
    fitted = run.where(key, where, states.FITTED)
    gone = run.where(key, where, states.GONE)
    missing = where - fitted - (gone - stack.missed(run, key, gone) - _new_one(run, key, gone))
    missing = missing - run.as_begun(key, missing) - stack.open_above(run, key, missing)
    if missing:
        _missing(run, key, missing)
    _on_what_is_off(run, key, fitted)


def _new_one(run: Run, key: Key, gone: Region) -> Region:
    """Return where a new one of a thing is at hand, and does not go in."""
    if key in run.car.renewed:  # of which the box says it
        return run.none
    return gone & supplied(run, run.car.things[key])


def _missing(run: Run, key: Key, cars: Region) -> None:
    lifted = run.where(key, cars, states.LIFTED)
    _left(run, "left-off", key, lifted, "is left lifted", f"`seat {key}` before the end")
    off = run.where(key, cars, states.OFF)
    hint = f"`fit {key}` before the end, or say where it goes"
    _left(run, "left-off", key, off, "is left off", hint)
    gone = run.where(key, cars, states.GONE)
    hint = f"`fit {key}`: a new one"
    _left(run, "left-off", key, gone, "goes for good, and no new one goes in", hint)
    new = run.where(key, cars, states.NEW)
    olds = list(run.car.older(key))
    for old in olds:
        new = new - run.there(old, new)
    if olds:
        hint = f"`fit {key}` in place of what came off"
        _left(run, "left-off", key, new, "is never fitted", hint)


def _left(run: Run, check: str, key: Key, cars: Region, how: str, hint: str) -> None:
    """Find a part or connection, since it was last changed, or what it takes the place of was."""
    if cars:
        at = run.first_mark((key, *run.car.older(key)), cars)
        run.find(check, cars, run.does(key, how), hint, run.last_place(cars),
                 run.car.things[key].place, at=at, about=key)  # fmt: skip


def _on_what_is_off(run: Run, key: Key, cars: Region) -> None:
    """Find a part that sits on one that has been replaced: it went into the box with it."""
    for parent, where in carriers(run, key, run.unforgiven(key, cars)):
        off = run.where(parent, where, *states.NOT_THERE) - run.car.expected(parent)
        off = off & wanted_later(run, key)
        if off:
            run.find(
                "left-on-discarded", off,
                f"{run.does(key, 'is')} left on {run.called(parent)}, which is off for good",
                f"`remove {key}` and fit it on what replaces `{parent}`",
                run.car.things[key].place, at=run.track(parent).mark(off), about=key,
            )  # fmt: skip


# -- connections, openings, fluids -----------------------------------------------------------------


def _connection(run: Run, key: Key) -> None:
    wanted = _connection_wanted(run, key)
    not_made = wanted - run.where(key, wanted, states.MADE, states.GONE)
    if not not_made:
        return
    for old in run.car.older(key):
        not_made = not_made - run.there(old, not_made)
    not_made = not_made - run.as_begun(key, not_made)
    opened = run.where(key, not_made, states.OPEN)
    if run.car.kit is not None and key.id in run.car.kit.returns:
        opened = run.none  # that it is not returned says it
    hint = f"`connect {key}` before the end"
    _left(run, "left-disconnected", key, opened, "is left disconnected", hint)
    new = not_made - run.where(key, not_made, states.OPEN)
    _left(run, "left-disconnected", key, new, "is new and never connected", hint)


def _connection_wanted(run: Run, key: Key) -> Region:
    """Return the cars on which a connection must be made in the end.

    Not so where something newer replaces it, or where a part at its end is gone for good and
    nothing takes that part's place; nor is a new one whose part stays in the box, which is found.
    """
    where = run.car.expected(key)
    if where:
        for line in run.car.ends[key]:
            where = where - line_gone(run, line, where)
        if key in run.car.new and key not in run.car.replaced:
            for line in run.car.ends[key]:
                where = run.any_there(line, where)
    return where


def _opening(run: Run, key: Key) -> None:
    covered = run.where(key, run.car.exists(key), states.COVERED)
    left = run.unforgiven(key, covered - never_closed(run, key, covered))
    _left_so(run, "left-covered", key, left, f"the cover is left on {run.called(key)}",
             f"`uncover {key}` before it is closed")  # fmt: skip


def _fluid(run: Run, key: Key) -> None:
    empty = run.where(key, run.car.exists(key), states.EMPTY)
    _left_so(run, "left-drained", key, empty - run.as_begun(key, empty),
             f"{run.does(key, 'is')} left drained", f"`fill {key}` before the end")  # fmt: skip
    low = run.where(key, run.car.exists(key), states.LOW)
    _left_so(run, "left-drained", key, low - run.as_begun(key, low),
             f"{run.does(key, 'has')} lost some, and nobody looks at the level",
             f"`inspect {key}`, or `top-up {key}`, before the end")  # fmt: skip


def _air(run: Run, air: Key) -> None:
    key = Key(states.FLUID, air.id)
    airy = run.where(air, run.car.exists(key), states.YES)
    airy = airy - run.where(key, airy, states.EMPTY)
    _left_so(run, "left-unbled", key, airy - run.as_begun(air, airy),
             f"{run.does(key, 'is')} left with air in it", f"`bleed {key}` before the end",
             since=air)  # fmt: skip


_LEFT: dict[Kind, Callable[[Run, Key], None]] = {
    states.PART: _part,
    states.CONNECTION: _connection,
    states.FASTENER: _fastener,
    states.OPENING: _opening,
    states.FLUID: _fluid,
}


def _supported(run: Run, under: Key) -> None:
    key = Key(states.PART, under.id)
    held_ = run.where(under, run.all, states.YES)
    held_ = held_ - run.where(key, held_, states.GONE)
    _left_so(run, "left-supported", key, held_ - run.as_begun(under, held_),
             f"what holds {run.called(key)} is left under it", f"`release {key}` before the end",
             since=under)  # fmt: skip


def _not_adjusted(run: Run, setting: Key) -> None:
    key = run.car.keys[setting.id]
    due = run.where(setting, run.car.expected(key), states.YES)
    there = run.there(key, due)
    said = getattr(run.car.things[key], "setting", "")
    _left_so(run, "not-adjusted", key, there - run.as_begun(setting, there),
             f"{run.does(key, 'is')} not adjusted to {said} again",
             f"`adjust {key}` after all that moves it is tight", since=setting)  # fmt: skip


# -- the car as a whole ----------------------------------------------------------------------------


def _tests(run: Run) -> None:
    for carried in LEAKS:
        test = leak_test(carried)
        due = untested(run, carried, run.all)
        due = due - run.as_begun(test, due) - left_open(run, carried, due)
        if due:
            run.find(
                "no-leak-test", due, f"{carried} was let out, and no leak test follows",
                f"`test leaks {carried}` when all is closed and under pressure",
                run.last_place(due), at=run.track(test).mark(due), about=test,
                level=level_of(carried),
            )  # fmt: skip
    brakes = run.where(BRAKE_TEST, run.all, states.YES)
    brakes = brakes - soft_pedal(run, run.where(SOFT_TEST, brakes, states.YES))
    _left_so(run, "no-brake-test", BRAKE_TEST, brakes, "the brakes were opened, and no test of the"
             " pedal follows", "`test brakes` before the car moves")  # fmt: skip


def _calibration(run: Run) -> None:
    kit = run.car.kit
    if kit is None or not kit.needs.calibration:
        return
    old = run.where(CALIBRATION, run.all, states.OLD) & run.car.calibrated
    run.find(
        "left-uncalibrated", old,
        f"the kit `{kit.id}` needs a calibration, and nothing loads it",
        "`program calibration`, with battery support", run.last_place(old), kit.place,
        at=run.car.plan.head.place, about=CALIBRATION,
    )  # fmt: skip
