"""Connections: disconnect, connect, tag."""

from __future__ import annotations

from procedures_lib.language.entities.car import Connection
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk.hazards import connecting, disconnecting, opened
from procedures_lib.walk.new_parts import from_kit
from procedures_lib.walk.openings import over_covers, touch
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import (
    clear_the_way,
    connection_out_of_reach,
    still_clamped,
    tight_before,
)
from procedures_lib.walk.state import (
    IN_PLACE,
    IS_GONE,
    IS_MADE,
    IS_NEW,
    IS_OPEN,
    IS_YES,
    LIFTED,
    MADE,
    OPEN,
    TAG,
    YES,
)


def disconnect(run: Run, connection: Connection, cars: Region) -> None:
    """Open a connection."""
    name = connection.id
    made = run.where(name, IS_MADE, cars)
    if cars is not made:
        _nothing(run, name, cars - made, "is not connected", "it can be opened only once")
    if made:
        _reach(run, connection, made)
        still_clamped(run, name, made)
        _look_alike(run, connection, made)
        disconnecting(run, connection, made)
    run.put(name, cars - run.gone_too_early(name, cars), OPEN)
    touch(run, run.car.line(name))
    opened(run, connection, made)


def connect(run: Run, connection: Connection, cars: Region) -> None:
    """Close a connection."""
    name = connection.id
    made = run.where(name, IS_MADE, cars)
    if made:
        _nothing(run, name, made, "is connected already", "leave this out, or disconnect it before")
    todo = cars - made
    gone = run.where(name, IS_GONE, todo)
    if gone:
        _nothing(run, name, gone, "is gone for good", "connect what replaces it")
    if todo:
        from_kit(run, name, run.where(name, IS_NEW, todo))
        if not connection.reuse:
            _single_use(run, connection, run.where(name, IS_OPEN, todo))
        _replaced(run, name, todo)
        _both_ends(run, connection, todo)
        _reach(run, connection, todo)
        over_covers(run, run.car.line(name), todo)
        tight_before(run, name, todo)
        connecting(run, connection, todo)
    run.put(name, cars, MADE)
    touch(run, run.car.line(name))


def tag(run: Run, connection: Connection, cars: Region) -> None:
    """Mark a connection, so that it goes back where it was."""
    run.put(TAG + connection.id, cars, YES)


def _nothing(run: Run, name: str, cars: Region, how: str, hint: str) -> None:
    cars = run.unforgiven(name, cars)
    if cars:
        verb = run.action.verb if run.action else ""
        run.find(
            "nothing-to-undo", cars, f"`{verb} {name}`: {run.does(name, how)}", hint,
            run.track(name).mark(cars), run.car.things[name].place,
        )  # fmt: skip
        run.forgive(name, cars)


def _single_use(run: Run, connection: Connection, cars: Region) -> None:
    if cars:
        run.find(
            "reused-single-use", cars,
            f"{run.does(connection.id, 'is')} for one use, and used again here",
            "put a new one into the kit and connect that, or say `reuse: true` and note why",
            run.track(connection.id).mark(cars), connection.place,
        )  # fmt: skip


def _reach(run: Run, connection: Connection, cars: Region) -> None:
    blocked, by = connection_out_of_reach(run, connection.id, cars)
    if not blocked:
        return
    seated = connection.reach == "lifted" and by in run.car.ends(connection)
    how = "is seated" if seated else "is in front of it"
    hint = f"do it while `{by}` is lifted" if seated else f"take `{by}` off first"
    run.find(
        "not-reachable", blocked,
        f"{run.called(connection.id)} can't be reached: {run.called(by)} {how}", hint,
        run.track(by).mark(blocked), connection.place,
    )  # fmt: skip
    clear_the_way(run, by, blocked)


def _replaced(run: Run, name: str, cars: Region) -> None:
    """Find a connection that is still made where its replacement goes."""
    for old in run.car.older(name):
        made = run.where(old, IS_MADE, cars)
        if made:
            run.find(
                "still-connected", made,
                f"{run.does(name, 'takes')} the place of {run.called(old)},"
                " which is still connected",
                f"disconnect `{old}` first", run.track(old).mark(made), run.car.things[old].place,
            )  # fmt: skip
            run.assume(old, made, OPEN)


def _both_ends(run: Run, connection: Connection, cars: Region) -> None:
    """Find a connection to a part that is not there."""
    for line in run.car.ends(connection):
        away = cars
        for member in run.car.of_line(line):
            away = away - run.where(member, IN_PLACE, away)
            if not away:
                break
        if away:
            part = next(
                (each for each in reversed(run.car.of_line(line)) if run.car.exists(each) & away),
                line,
            )
            run.find(
                "not-reachable", away,
                f"{run.called(connection.id)} can't be connected: {run.does(part, 'is')} not there",
                f"fit or position `{part}` first", run.track(part).mark(away),
                run.car.things[part].place,
            )  # fmt: skip
            run.assume(part, away, LIFTED)


def _look_alike(run: Run, connection: Connection, cars: Region) -> None:
    """Find the second of look-alikes that is opened while no tag tells them apart."""
    group = run.car.alike.get(str(connection.alike), ()) if connection.alike else ()
    if len(group) < 2:
        return
    bare = cars - run.where(TAG + connection.id, IS_YES, cars)
    for other in group:
        if other == connection.id:
            continue
        loose = run.where(other, IS_OPEN, cars)
        loose = loose - (run.where(TAG + other, IS_YES, loose) - bare)
        if loose:
            run.find(
                "not-tagged", loose,
                f"{run.does(connection.id, 'is')} opened while {run.called(other)}, which looks"
                " like it, hangs open, and not both are tagged",
                f"`tag {other}, {connection.id}` before the second is opened",
                run.track(other).mark(loose), connection.place,
            )  # fmt: skip
            run.put(TAG + connection.id, loose, YES)
            run.put(TAG + other, loose, YES)
            bare = bare - loose
