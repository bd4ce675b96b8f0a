"""The kit's box and the scrap: where new things come from, and what leaves the car for good."""

from __future__ import annotations

from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.manual.names import name_of
from procedures_lib.walk import states
from procedures_lib.walk.assembly import Thing
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import carried, held
from procedures_lib.walk.states import Key

# -- out of the box --------------------------------------------------------------------------------


def not_again(run: Run, key: Key, cars: Region) -> None:
    """Find a thing for one use that goes in a second time; a trial fit of a new one is none."""
    if cars:
        used_again(run, key, cars - supplied(run, run.car.things[key]), "use")


def used_again(run: Run, key: Key, cars: Region, takes: str) -> None:
    """Find a thing for one use that was used before on all of these cars."""
    run.find(
        "reused-single-use", cars, f"{run.does(key, 'is')} for one use, and used again here",
        f"put a new one into the kit and {takes} that, or say `reuse: true` and note why",
        run.track(key).mark(cars), run.car.things[key].place,
    )  # fmt: skip


def from_kit(run: Run, key: Key, cars: Region) -> None:
    """Find a new thing that the kit does not contain."""
    kit, thing = run.car.kit, run.car.things[key]
    if not cars or kit is None or key.id in run.car.items or key not in run.car.new:
        return
    if isinstance(thing, Connection) and _comes_with_a_part(run, key, thing):
        return
    bad = cars - supplied(run, thing)
    run.find(
        "not-in-kit", bad, f"{run.does(key, 'is')} new, and not in the kit `{kit.id}`",
        "add it to the kit's contents, or to the step's supplies", thing.place, kit.place,
    )  # fmt: skip


def _comes_with_a_part(run: Run, key: Key, connection: Connection) -> bool:
    """Tell whether a connection may be part of a new part: a lead that hangs on a relay.

    One whose forerunner goes into the scrap, or the customer's box, is a thing of its own.
    """
    line = run.car.of_line(run.car.line(key))
    if any(other.id in run.car.disposed for other in line if other != key):
        return False
    return any(end in run.car.items for end in connection.between)


def gone_for_good(run: Run, key: Key, cars: Region) -> Region:
    """Return where a thing went into the scrap, and neither kit nor supplies have it new."""
    gone = run.where(key, cars, states.GONE)
    return gone - supplied(run, run.car.things[key]) if gone else gone


def line_gone(run: Run, line: Key, cars: Region) -> Region:
    """Return where a thing is off for good, and nothing takes its place."""
    found = cars
    for member in run.car.of_line(line):
        here = run.car.expected(member) & cars
        found = found - (here - run.where(member, here, states.GONE))
    return found


def supplied(run: Run, thing: Thing) -> Region:
    """Return the cars for which some step's supplies, or the kit, hold a new one of the thing."""
    known = run.car.supplies_of
    if thing.id not in known:
        known[thing.id] = _supplied(run, thing)
    return known[thing.id]


def _supplied(run: Run, thing: Thing) -> Region:
    words = {thing.id.casefold(), name_of(thing, run.car.plan.scope).casefold()}
    found = run.car.cars_of(
        numbered
        for numbered in run.car.plan.steps
        if any(word in supply.casefold() for supply in numbered.step.supplies for word in words)
    )
    if run.car.keys[thing.id] in run.car.renewed:
        found = found | run.car.space.region(run.car.items[thing.id].when)
    return found


# -- into the scrap or the customer's box ----------------------------------------------------------


def dispose(run: Run, thing: Part | Fastener | Connection, cars: Region) -> None:
    """Discard or return a thing."""
    key = run.car.keys[thing.id]
    gone = run.where(key, cars, states.GONE)
    there = _still_there(run, key, thing, cars)
    run.nothing_to_do(key, gone, "is gone already", "leave this out", thing.place)
    run.nothing_to_do(key, there, "is still on the car", "take it off first", thing.place)
    if isinstance(thing, Part):
        _left_on(run, key, cars - there)
    run.put(key, cars, states.GONE)


def _still_there(run: Run, key: Key, thing: Thing, cars: Region) -> Region:
    if not isinstance(thing, Fastener):
        return run.there(key, cars)
    fast = cars - run.where(key, cars, *states.IS_OUT)
    return fast - run.where(key, fast, states.LOOSE) if thing.kind == "clamp" else fast


def _left_on(run: Run, part: Key, cars: Region) -> None:
    """Find what is still wanted on a part that leaves for good."""
    for child, where in carried(run, part, cars):
        wanted = where & wanted_later(run, child)
        if wanted:
            run.find(
                "left-on-discarded", wanted,
                f"{run.does(child, 'is')} still on {run.called(part)}, which goes for good",
                f"`remove {child}` and fit it on what stays, before this; or dispose of it too",
                run.track(child).mark(wanted), run.car.things[child].place,
            )  # fmt: skip
            run.forgive(child, wanted)


def wanted_later(run: Run, part: Key) -> Region:
    """Return the cars on which a part has to move on when what it is on goes for good.

    Not so when something newer replaces it, when it is itself disposed of or goes back to the
    customer, and when it is a seal or the like, whose work ends with that of its part.
    """
    thing, kit = run.car.things[part], run.car.kit
    leaves = part.id in run.car.disposed or (kit is not None and part.id in kit.returns)
    if leaves or not isinstance(thing, Part) or not thing.reusable:
        return run.none
    return run.car.expected(part)


# -- what is left in the end -----------------------------------------------------------------------


def kit_left(run: Run) -> None:
    """Find what lies unused in the box, and what should be in the customer's box."""
    kit = run.car.kit
    if kit is None:
        return
    for item in kit.contents:
        key = run.car.keys.get(item.what)
        all_spare = item.spare is not None and item.spare >= item.count
        if key is not None and item.kind == key.kind.value and not all_spare:
            _unused(run, kit, item, key)
    for key in run.car.known(kit.returns):
        _not_returned(run, kit, key)


def _unused(run: Run, kit: Kit, item: ContentItem, key: Key) -> None:
    in_box = (states.NEW, states.GONE) if key in run.car.renewed else (states.NEW,)
    new = run.where(key, run.car.exists(key), *in_box)
    left = run.unforgiven(run.car.line(key), new - _told_otherwise(run, key, new))
    if left:
        run.find(
            "not-used", left, f"{run.does(key, 'stays')} in the kit's box",
            f"use it in a step, or declare it: `spare: {item.count}` in the kit `{kit.id}`",
            item.place, at=run.car.plan.head.place,
        )  # fmt: skip


def _told_otherwise(run: Run, key: Key, cars: Region) -> Region:
    """Return where another finding says already that a new thing is not put in."""
    olds = list(run.car.older(key))
    if key.kind is states.FASTENER:
        told = held(run, run.car.line(key), cars)
        for old in olds:
            told = run.where(old, told, *states.IS_OUT)
        return told
    told = cars if olds or key.kind is states.CONNECTION else run.none
    for old in olds:
        told = told - run.there(old, told)
    return told


def _not_returned(run: Run, kit: Kit, key: Key) -> None:
    if key.kind not in states.BOXED:
        return
    left = run.unforgiven(key, run.where(key, run.car.exists(key), states.UNDONE[key.kind]))
    if left:
        run.find(
            "not-returned", left,
            f"{run.does(key, 'is')} off, and nothing puts it into the customer's box",
            f"`return {key}`, or take it out of the kit's `returns`", kit.place,
            at=run.track(key).mark(left),
        )  # fmt: skip
