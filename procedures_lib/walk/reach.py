"""What is in the way, what carries a part, and what holds parts and connections."""

from __future__ import annotations

from procedures_lib.findings import Place
from procedures_lib.language.entities.car import Connection, Fastener
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.progress import Run
from procedures_lib.walk.states import VEHICLE, Key

_DEEPEST = 30


# -- what carries what -----------------------------------------------------------------------------


def on_bench(run: Run, part: Key, cars: Region) -> Region:
    """Return the cars on which what carries a part is off, or not yet on."""
    found = run.none
    for parent, where in carriers(run, part, cars):
        found = found | run.where(parent, where, *states.NOT_THERE)
    return found


def carriers(run: Run, part: Key, cars: Region) -> list[tuple[Key, Region]]:
    """Return what carries a part, what carries that, and so on, with the cars where it does."""
    found: list[tuple[Key, Region]] = []
    todo = [(part, cars)]
    for _ in range(_DEEPEST):
        if not todo:
            break
        key, where = todo.pop()
        if key not in run.car.carrier and not run.moved_to:
            continue
        for both, parent, _ in run.track(Key(states.CARRIER, key.id)).within(where):
            if isinstance(parent, Key):
                found.append((parent, both))
                todo.append((parent, both))
    return found


def carried(run: Run, part: Key, cars: Region) -> list[tuple[Key, Region]]:
    """Return the parts that go with a part, those on them too, with the cars where they do."""
    found: list[tuple[Key, Region]] = []
    todo = [(part, cars)]
    seen = {part}
    while todo:
        key, where = todo.pop()
        for child in (*run.car.children.get(key, ()), *run.moved_to.get(key, ())):
            if child in seen:
                continue
            on_it = run.where(Key(states.CARRIER, child.id), where, key)
            there = run.there(child, on_it)
            if there:
                seen.add(child)
                found.append((child, there))
                todo.append((child, there))
    return found


# -- what is in the way ----------------------------------------------------------------------------


def blocked_by(run: Run, key: Key, cars: Region) -> tuple[Region, Key | None]:
    """Return on which cars a part or connection is behind something, and behind what."""
    found, what = run.none, None
    for front in run.car.behind.get(key, ()):
        there = _in_the_way(run, front, key, cars)
        if there and what is None:
            what = front
        found = found | there
    if found and key.kind is states.PART:
        found = found - on_bench(run, key, found)
    return found, (what if found else None)


def _in_the_way(run: Run, front: Key, key: Key, cars: Region) -> Region:
    if front.kind is states.CONNECTION:
        return run.any_there(front, cars)
    if front.kind is states.FASTENER:
        return run.is_on(front, cars)
    found = run.none
    for member in run.car.of_line(run.car.line(front)):
        there = run.where(member, cars, states.FITTED) if member != key else run.none
        if there:
            found = found | (there - on_bench(run, member, there))
    return found


def connection_out_of_reach(run: Run, key: Key, cars: Region) -> tuple[Region, Key | None]:
    """Return on which cars nobody gets at a connection, and what is in the way.

    It is within reach when it is so at one of the modelled parts at its ends: the far end of a
    lead blocks nothing. A connection that is reached while its part is lifted is in the way of
    itself on every car where the part is neither lifted nor off.
    """
    thing = run.car.things[key]
    if not isinstance(thing, Connection):
        return run.none, None
    found, what = blocked_by(run, key, cars)
    at_ends, at_what = _ends_blocked(run, key, cars)
    if at_ends:
        what = what or at_what
    found = found | at_ends
    if thing.reach == "lifted":
        seated = _seated(run, key, cars)
        if seated and what is None:
            what = run.car.ends[key][0]
        found = found | seated
    return found, what


def _ends_blocked(run: Run, key: Key, cars: Region) -> tuple[Region, Key | None]:
    found: Region | None = None
    what = None
    for line in run.car.ends[key]:
        blocked = run.none
        for member in run.car.of_line(line):
            if run.there(member, cars):
                where, by = blocked_by(run, member, cars)
                blocked = blocked | where
                what = what or by
        found = blocked if found is None else found & blocked
    return (run.none if found is None else found), what


def _seated(run: Run, key: Key, cars: Region) -> Region:
    """Return where no end is lifted, by itself or with what it is on, and one is fitted."""
    lifted = fitted = run.none
    for line in run.car.ends[key]:
        lifted = lifted | run.any_of(line, cars, states.LIFTED)
        for member in run.car.of_line(line):
            for parent, where in carriers(run, member, cars):
                lifted = lifted | run.where(parent, where, states.LIFTED, *states.NOT_THERE)
        fitted = fitted | run.any_of(line, cars, states.FITTED)
    return fitted - lifted


def out_of_reach(
    run: Run, key: Key, cars: Region, by: Key, why: str, hint: str, place: Place | None = None
) -> None:
    """Find what can't be done to a thing on these cars, because of another: ``why`` says both.

    ``place`` is where the one to look at is defined, by default the thing itself.
    """
    run.find(
        "not-reachable", cars, f"{run.called(key)} can't {why}", hint, run.track(by).mark(cars),
        place or run.car.things[key].place,
    )  # fmt: skip


def off_the_car(run: Run, key: Key, cars: Region) -> Region:
    """Return where all that a thing belongs to is off: one works on it on the bench."""
    if key.kind is states.PART:
        return on_bench(run, key, cars)
    named = run.car.users.get(run.car.line(key), ())
    belongs = named if key.kind is states.FASTENER else run.car.ends.get(key, ())
    found = cars if belongs else run.none
    for each in belongs:
        parts = run.car.ends[each] if each.kind is states.CONNECTION else (each,)
        for part in parts:
            there = run.any_there(part, found)
            found = found - (there - on_bench(run, part, there))
    return found


def hidden_or_below(run: Run, key: Key, cars: Region) -> Region:
    """Find what is hidden, or reached only from below; return the cars on which it is reached."""
    if key not in run.car.hard_to_reach or not cars:
        return cars
    cars_ = cars - off_the_car(run, key, cars)
    for front in run.car.hidden.get(key, ()) if cars_ else ():
        there = _in_the_way(run, front, key, cars_)
        if there:
            out_of_reach(
                run, key, there, front, f"be reached: {run.called(front)} hides it",
                f"take `{front}` off first, or fit it after this",
            )  # fmt: skip
            clear_the_way(run, front, there)
            cars = cars - there
    from_below(run, key, cars_)
    return cars


def from_below(run: Run, key: Key, cars: Region) -> None:
    """Find work from below on a car that stands on its wheels."""
    if key not in run.car.hard_to_reach:
        return
    thing = run.car.things[key]
    if getattr(thing, "reached_from", None) != "below" or getattr(thing, "at", None):
        return
    down = run.unforgiven(VEHICLE, cars - run.where(VEHICLE, cars, states.RAISED))
    if down:
        run.find(
            "not-reachable", down, f"{run.does(key, 'is')} reached from below, and the car stands"
            " on its wheels", "`raise vehicle` first", run.track(VEHICLE).mark(down), thing.place,
        )  # fmt: skip
        run.forgive(VEHICLE, down)


def in_front(run: Run, key: Key, cars: Region, by: Key | None) -> None:
    """Find a part or a group that is behind something, and go on as if that were out of the way."""
    if cars and by is not None:
        out_of_reach(
            run, key, cars, by, f"be reached: {run.does(by, 'is')} in front of it",
            f"take `{by}` off first, or fit it after this",
        )  # fmt: skip
        clear_the_way(run, by, cars)


def old_still_there(run: Run, key: Key, old: Key, cars: Region, goes: str) -> None:
    """Find what goes where the thing that it replaces still is, and take that as taken off."""
    if cars:
        undo = "disconnect" if old.kind is states.CONNECTION else "remove"
        out_of_reach(
            run, key, cars, old, f"{goes}: {run.does(old, 'is')} still in the same place",
            f"{undo} `{old}` first", run.car.things[old].place,
        )  # fmt: skip
        run.assume(old, cars, states.UNDONE[old.kind])


def clear_the_way(run: Run, by: Key, cars: Region) -> None:
    """Assume that what was found in the way is out of it."""
    for key in run.car.of_line(run.car.line(by)):
        if by.kind is states.CONNECTION:
            run.assume(key, run.where(key, cars, states.MADE), states.OPEN)
            continue
        if by.kind is states.FASTENER:
            run.assume(key, cars - run.where(key, cars, *states.IS_OUT), states.OUT)
            continue
        fitted = run.where(key, cars, states.FITTED)
        run.assume(key, fitted, states.LIFTED)
        for holder in run.car.holders.get(key, ()):
            run.assume(holder, run.where(holder, fitted, states.TIGHT), states.OUT)


# -- what holds ------------------------------------------------------------------------------------


def held(run: Run, line: Key, cars: Region) -> Region:
    """Return the cars on which a line of fasteners has something in place to hold."""
    found = run.none
    for user in run.car.users.get(line, ()):
        found = found | run.there(user, cars)
    return found


def _groups(run: Run, key: Key) -> dict[Key, Fastener]:
    """Return the fasteners that hold a thing: those named, and all of their lines."""
    found = {}
    for holder in run.car.holders.get(key, ()):
        for member in run.car.of_line(run.car.line(holder)):
            thing = run.car.things[member]
            if isinstance(thing, Fastener):
                found[member] = thing
    return found


def still_held(run: Run, key: Key, cars: Region) -> None:
    """Find the fasteners that still hold what comes off.

    Those of a part have to be out, but for a clamp, which need only be loose; those of a
    connection have to be loose or out.
    """
    connection = key.kind is states.CONNECTION
    for holder, group in _groups(run, key).items():
        clamp = group.kind == "clamp"
        free = states.SLACK if connection else states.IS_OUT
        where = cars & run.car.exists(holder)
        tight = where - run.where(holder, where, *free, *((states.LOOSE,) if clamp else ()))
        if tight:
            loosen = clamp and connection
            run.find(
                "still-held", tight, f"{run.does(key, 'is')} still held by {run.called(holder)}",
                f"`{'loosen' if loosen else 'remove'} {holder}` first",
                run.track(holder).mark(tight), group.place,
            )  # fmt: skip
            run.assume(holder, tight, states.LOOSE if loosen else states.OUT)


def made_on_bench(group: Key) -> Key:
    """Return the key of whether a group joins two parts that both lay on the bench."""
    return Key(states.BENCH, group.id)


def tight_before(run: Run, key: Key, cars: Region) -> None:
    """Find the fasteners that are tight before what they hold is in its place."""
    cars = run.unforgiven(key, cars)
    if not cars:
        return
    for holder, group in _groups(run, key).items():
        if not group.takes_torque:
            continue
        where = cars & run.car.exists(holder)
        if made_on_bench(holder) in run.tracks:
            where = where - run.where(made_on_bench(holder), where, states.YES)
        for tight, _, _ in run.track(holder).within(run.where(holder, where, states.TIGHT)):
            _too_early(run, key, holder, tight)


def _too_early(run: Run, key: Key, holder: Key, cars: Region) -> None:
    mark = run.track(holder).mark(cars)
    if mark is None:
        run.find(
            "still-held", cars,
            f"{run.does(key, 'goes')} where {run.does(holder, 'is')} still tight",
            f"`remove {holder}` first", run.car.things[holder].place,
        )  # fmt: skip
        run.assume(holder, cars, states.OUT)
    else:
        run.find(
            "tightened-too-early", cars,
            f"{run.does(holder, 'is')} tight before {run.does(key, 'is')} in place",
            f"tighten it after {run.does(key, 'is')} in", run.mark, at=mark,
        )  # fmt: skip
