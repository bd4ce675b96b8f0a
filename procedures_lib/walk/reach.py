"""What is in the way, and what holds parts and connections."""

from __future__ import annotations

from procedures_lib.language.entities.car import TORQUE_FREE_KINDS, Connection, Fastener, Part
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk.progress import Run
from procedures_lib.walk.state import (
    IN_PLACE,
    IS_FITTED,
    IS_LIFTED,
    IS_LOOSE,
    IS_MADE,
    IS_OUT,
    IS_TIGHT,
    LIFTED,
    LOOSE,
    NOT_THERE,
    OPEN,
    OUT,
    PARENT,
    SLACK,
)

_DEEPEST = 30


def on_bench(run: Run, part: str, cars: Region) -> Region:
    """Return the cars on which what carries a part is off, or not yet on."""
    found = run.none
    for parent, where in carriers(run, part, cars):
        found = found | run.where(parent, NOT_THERE, where)
    return found


def carriers(run: Run, part: str, cars: Region) -> list[tuple[str, Region]]:
    """Return what carries a part, what carries that, and so on, with the cars where it does."""
    found: list[tuple[str, Region]] = []
    todo = [(part, cars)]
    for _ in range(_DEEPEST):
        if not todo:
            break
        name, where = todo.pop()
        if not run.car.carrier(name) and PARENT + name not in run.tracks:
            continue
        for both, parent, _ in run.track(PARENT + name).within(where):
            if parent:
                found.append((parent, both))
                todo.append((parent, both))
    return found


def carried(run: Run, part: str, cars: Region) -> list[tuple[str, Region]]:
    """Return the parts that go with a part, those on them too, with the cars where they do."""
    found: list[tuple[str, Region]] = []
    todo = [(part, cars)]
    seen = {part}
    while todo:
        name, where = todo.pop()
        for child in _children(run, name):
            if child in seen:
                continue
            on_it = run.where(PARENT + child, frozenset({name}), where)
            there = run.where(child, IN_PLACE, on_it)
            if there:
                seen.add(child)
                found.append((child, there))
                todo.append((child, there))
    return found


def _children(run: Run, part: str) -> list[str]:
    return [*run.car.children.get(part, ()), *run.moved_to.get(part, ())]


def blocked_by(run: Run, name: str, cars: Region) -> tuple[Region, str]:
    """Return on which cars a part or connection is behind something, and behind what."""
    thing = run.car.things[name]
    behind = thing.behind if isinstance(thing, Part | Connection) else ()
    if not behind:
        return run.none, ""
    found, what = run.none, ""
    for each in behind:
        before = str(each)
        other = run.car.things.get(before)
        if other is None or before == name:
            continue
        line = run.car.line(before)
        if isinstance(other, Part):
            there = _in_the_way(run, line, name, cars)
        elif isinstance(other, Connection):
            there = run.any_of(line, IS_MADE, cars)
        else:
            continue
        if there and not what:
            what = before
        found = found | there
    if found and isinstance(thing, Part):
        found = found - on_bench(run, name, found)
    return found, what if found else ""


def _in_the_way(run: Run, line: str, name: str, cars: Region) -> Region:
    found = run.none
    for member in run.car.of_line(line):
        if member == name:
            continue
        there = run.where(member, IS_FITTED, cars)
        if there:
            found = found | (there - on_bench(run, member, there))
    return found


def clear_the_way(run: Run, by: str, cars: Region) -> None:
    """Assume that what was found in the way is out of it."""
    if isinstance(run.car.things.get(by), Connection):
        for name in run.car.of_line(run.car.line(by)):
            run.assume(name, run.where(name, IS_MADE, cars), OPEN)
        return
    for name in run.car.of_line(run.car.line(by)):
        fitted = run.where(name, IS_FITTED, cars)
        run.assume(name, fitted, LIFTED)
        for holder in run.car.holders(name):
            run.assume(holder, run.where(holder, IS_TIGHT, fitted), OUT)


def connection_out_of_reach(run: Run, name: str, cars: Region) -> tuple[Region, str]:
    """Return on which cars nobody gets at a connection, and what is in the way.

    It is within reach when it is so at one of the modelled parts at its ends: the far end of a
    lead blocks nothing. A connection that is reached while its part is lifted is in the way of
    itself on every car where the part is neither lifted nor off.
    """
    thing = run.car.things[name]
    if not isinstance(thing, Connection):
        return run.none, ""
    found, what = blocked_by(run, name, cars)
    at_ends, at_what = _ends_blocked(run, thing, cars)
    if at_ends and not what:
        what = at_what
    found = found | at_ends
    if thing.reach == "lifted":
        seated = _seated(run, thing, cars)
        if seated and not what:
            what = next((end for end in run.car.ends(thing)), "")
        found = found | seated
    return found, what


def _ends_blocked(run: Run, thing: Connection, cars: Region) -> tuple[Region, str]:
    found: Region | None = None
    what = ""
    for line in run.car.ends(thing):
        blocked = run.none
        for member in present(run, line, cars):
            where, by = blocked_by(run, member, cars)
            blocked = blocked | where
            what = what or by
        found = blocked if found is None else found & blocked
    return (run.none if found is None else found), what


def present(run: Run, line: str, cars: Region) -> list[str]:
    """Return the things of a line that are in place on some of these cars."""
    return [name for name in run.car.of_line(line) if run.where(name, IN_PLACE, cars)]


def _seated(run: Run, thing: Connection, cars: Region) -> Region:
    """Return where no end is lifted, by itself or with what it is on, and one is fitted."""
    lifted = fitted = run.none
    for line in run.car.ends(thing):
        lifted = lifted | run.any_of(line, IS_LIFTED, cars)
        for member in run.car.of_line(line):
            for parent, where in carriers(run, member, cars):
                lifted = lifted | run.where(parent, IS_LIFTED | NOT_THERE, where)
        fitted = fitted | run.any_of(line, IS_FITTED, cars)
    return fitted - lifted


def groups(run: Run, name: str) -> list[Fastener]:
    """Return the fasteners that hold a thing: those named, and all of their lines."""
    found: dict[str, Fastener] = {}
    for holder in run.car.holders(name):
        for member in run.car.of_line(run.car.line(holder)):
            thing = run.car.things[member]
            if isinstance(thing, Fastener):
                found[member] = thing
    return list(found.values())


def still_held(run: Run, name: str, cars: Region) -> None:
    """Find the fasteners of a part that are still in; a clamp need only be loose."""
    for group in groups(run, name):
        where = cars & run.car.exists(group.id)
        held = where - run.where(group.id, IS_OUT, where)
        if held and group.kind == "clamp":
            held = held - run.where(group.id, IS_LOOSE, held)
        if held:
            _held(run, name, group, held, OUT)


def still_clamped(run: Run, name: str, cars: Region) -> None:
    """Find the fasteners of a connection that are neither loose nor out."""
    for group in groups(run, name):
        where = cars & run.car.exists(group.id)
        held = where - run.where(group.id, SLACK, where)
        if held:
            _held(run, name, group, held, LOOSE if group.kind == "clamp" else OUT)


def _held(run: Run, name: str, group: Fastener, cars: Region, after: str) -> None:
    undo = "loosen" if after == LOOSE else "remove"
    run.find(
        "still-held", cars,
        f"{run.does(name, 'is')} still held by {run.called(group.id)}",
        f"`{undo} {group.id}` first", run.track(group.id).mark(cars), group.place,
    )  # fmt: skip
    run.assume(group.id, cars, after)


def tight_before(run: Run, name: str, cars: Region) -> None:
    """Find the fasteners that are tight before what they hold is in its place."""
    cars = run.unforgiven(name, cars)
    if not cars:
        return
    for group in groups(run, name):
        if group.kind in TORQUE_FREE_KINDS:
            continue
        where = cars & run.car.exists(group.id)
        for tight in run.track(group.id).within(run.where(group.id, IS_TIGHT, where)):
            _too_early(run, name, group, tight[0])


def _too_early(run: Run, name: str, group: Fastener, cars: Region) -> None:
    mark = run.track(group.id).mark(cars)
    if mark is None:
        run.find(
            "still-held", cars,
            f"{run.does(name, 'goes')} where {run.does(group.id, 'is')} still tight",
            f"`remove {group.id}` first", group.place,
        )  # fmt: skip
        run.assume(group.id, cars, OUT)
    else:
        run.find(
            "tightened-too-early", cars,
            f"{run.does(group.id, 'is')} tight before {run.does(name, 'is')} in place",
            f"tighten it after {run.does(name, 'is')} in", run.mark, at=mark,
        )  # fmt: skip
