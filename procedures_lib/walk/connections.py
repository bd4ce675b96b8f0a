"""Connections: disconnect, connect, tag."""

from __future__ import annotations

from procedures_lib.language.entities.car import Connection
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.box import from_kit, gone_for_good, used_again
from procedures_lib.walk.circuits import opened
from procedures_lib.walk.hazards import connecting, disconnecting
from procedures_lib.walk.openings import over_covers, touch
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import (
    clear_the_way,
    connection_out_of_reach,
    hidden_or_below,
    off_the_car,
    out_of_reach,
    still_held,
    tight_before,
)
from procedures_lib.walk.settings import disturbed
from procedures_lib.walk.states import Key


def disconnect(run: Run, connection: Connection, cars: Region) -> None:
    """Open a connection."""
    key = run.car.keys[connection.id]
    made = run.where(key, cars, states.MADE)
    hint = "it can be opened only once"
    run.nothing_to_do(key, cars - made, "is not connected", hint, connection.place)
    if made:
        _within_reach(run, key, connection, made)
        still_held(run, key, made)
        _look_alike(run, key, connection, made)
        disconnecting(run, connection, made)
    run.put(key, cars - run.gone_too_early(key, cars), states.OPEN)
    touch(run, key)
    opened(run, connection, made)
    disturbed(run, key, made)


def connect(run: Run, connection: Connection, cars: Region) -> None:
    """Close a connection."""
    key, place = run.car.keys[connection.id], connection.place
    made = run.where(key, cars, states.MADE)
    hint = "leave this out, or disconnect it before"
    run.nothing_to_do(key, made, "is connected already", hint, place)
    todo = cars - made
    gone = gone_for_good(run, key, todo)
    run.nothing_to_do(key, gone, "is gone for good", "connect what replaces it", place)
    if todo:
        from_kit(run, key, run.where(key, todo, states.NEW))
        disturbed(run, key, run.where(key, todo, states.NEW))
        if not connection.reuse:
            used_again(run, key, run.where(key, todo, states.OPEN), "connect")
        _replaced(run, key, todo)
        _both_ends(run, key, todo)
        _within_reach(run, key, connection, todo)
        over_covers(run, run.car.line(key), todo)
        tight_before(run, key, todo)
        connecting(run, connection, todo)
    run.put(key, cars, states.MADE)
    touch(run, key)


def tag(run: Run, connection: Connection, cars: Region) -> None:
    """Mark a connection, so that it goes back where it was."""
    run.put(Key(states.TAG, connection.id), cars, states.YES)


def _within_reach(run: Run, key: Key, connection: Connection, cars: Region) -> None:
    cars = hidden_or_below(run, key, cars, off_the_car(run, key, cars))
    blocked, by = connection_out_of_reach(run, key, cars)
    if not blocked or by is None:
        return
    seated = connection.reach == "lifted" and by in run.car.ends[key]
    how = "is seated" if seated else "is in front of it"
    hint = f"do it while `{by}` is lifted" if seated else f"take `{by}` off first"
    out_of_reach(run, key, blocked, by, f"be reached: {run.called(by)} {how}", hint)
    clear_the_way(run, by, blocked)


def _replaced(run: Run, key: Key, cars: Region) -> None:
    """Find a connection that is still made where its replacement goes."""
    for old in run.car.older(key):
        made = run.where(old, cars, states.MADE)
        if made:
            run.find(
                "still-connected", made,
                f"{run.does(key, 'takes')} the place of {run.called(old)},"
                " which is still connected",
                f"disconnect `{old}` first", run.track(old).mark(made), run.car.things[old].place,
            )  # fmt: skip
            run.assume(old, made, states.OPEN)


def _both_ends(run: Run, key: Key, cars: Region) -> None:
    """Find a connection to a part that is not there; two that are both off meet on the bench."""
    ends = run.car.ends[key]
    on_bench = cars if len(ends) > 1 and run.car.ends_known(key) else run.none
    for line in ends:
        on_bench = on_bench - run.any_there(line, on_bench)
    for line in ends:
        members = run.car.of_line(line)
        away = cars - on_bench
        away = away - run.any_there(line, away)
        if away:
            part = next((each for each in reversed(members) if run.car.exists(each) & away), line)
            out_of_reach(
                run, key, away, part, f"be connected: {run.does(part, 'is')} not there",
                f"fit or position `{part}` first", run.car.things[part].place,
            )  # fmt: skip
            run.assume(part, away, states.LIFTED)


def _look_alike(run: Run, key: Key, connection: Connection, cars: Region) -> None:
    """Find the second of look-alikes that is opened while no tag tells them apart."""
    group = run.car.alike.get(connection.alike, ())
    if len(group) < 2:
        return
    tag_on = {each: Key(states.TAG, each.id) for each in group}
    bare = cars - run.where(tag_on[key], cars, states.YES)
    for other in group:
        if other == key:
            continue
        loose = run.where(other, cars, states.OPEN)
        loose = loose - (run.where(tag_on[other], loose, states.YES) - bare)
        if loose:
            run.find(
                "not-tagged", loose,
                f"{run.does(key, 'is')} opened while {run.called(other)}, which looks"
                " like it, hangs open, and not both are tagged",
                f"`tag {other}, {key}` before the second is opened",
                run.track(other).mark(loose), connection.place,
            )  # fmt: skip
            run.put(tag_on[key], loose, states.YES)
            run.put(tag_on[other], loose, states.YES)
            bare = bare - loose
