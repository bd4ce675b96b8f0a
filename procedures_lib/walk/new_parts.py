"""Where new things come from, and what leaves the car for good."""

from __future__ import annotations

from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.manual.scope import name_of
from procedures_lib.walk.car import Thing
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import carried
from procedures_lib.walk.state import GONE, IN_PLACE, IS_GONE, IS_LOOSE, IS_MADE, IS_OUT


def not_again(run: Run, thing: Part | Fastener, cars: Region) -> None:
    """Find a thing for one use that goes in a second time; a trial fit of a new one is none."""
    if not cars:
        return
    used = cars - supplied(run, thing)
    run.find(
        "reused-single-use", used,
        f"{run.does(thing.id, 'is')} for one use, and used again here",
        "put a new one into the kit and use that, or say `reuse: true` and note why",
        run.track(thing.id).mark(used), thing.place,
    )  # fmt: skip


def from_kit(run: Run, name: str, cars: Region) -> None:
    """Find a new thing that the kit does not contain."""
    kit, thing = run.car.kit, run.car.things[name]
    if not cars or kit is None or name in run.car.items or name not in run.car.new:
        return
    if isinstance(thing, Connection) and _comes_with_a_part(run, thing):
        return
    bad = cars - supplied(run, thing)
    run.find(
        "not-in-kit", bad, f"{run.does(name, 'is')} new, and not in the kit `{kit.id}`",
        "add it to the kit's contents, or to the step's supplies", thing.place, kit.place,
    )  # fmt: skip


def _comes_with_a_part(run: Run, connection: Connection) -> bool:
    """Tell whether a connection may be part of a new part: a lead that hangs on a relay.

    One whose forerunner goes into the scrap, or the customer's box, is a thing of its own.
    """
    line = run.car.of_line(run.car.line(connection.id))
    if any(other in run.car.disposed for other in line if other != connection.id):
        return False
    return any(str(end) in run.car.items for end in connection.between)


def supplied(run: Run, thing: Thing) -> Region:
    """Return the cars for which some step's supplies, or the kit, hold a new one of the thing."""
    words = {thing.id.casefold(), name_of(thing, run.car.plan.scope).casefold()}
    found = run.none
    if thing.id in run.car.renewed:
        found = run.car.space.region(run.car.items[thing.id].when)
    for numbered in run.car.plan.steps:
        texts = [supply.casefold() for supply in numbered.step.supplies]
        if any(word in text for word in words for text in texts):
            found = found | run.car.space.region(numbered.when)
    return found


def dispose(run: Run, thing: Part | Fastener | Connection, cars: Region) -> None:
    """Discard or return a thing."""
    name = thing.id
    gone = run.where(name, IS_GONE, cars)
    there = _still_there(run, thing, cars)
    for where, how, hint in (
        (run.unforgiven(name, gone), "gone already", "leave this out"),
        (run.unforgiven(name, there), "still on the car", "take it off first"),
    ):
        if where:
            verb = run.action.verb if run.action else "discard"
            run.find(
                "nothing-to-undo", where, f"`{verb} {name}`: {run.does(name, 'is')} {how}", hint,
                run.track(name).mark(where), thing.place,
            )  # fmt: skip
            run.forgive(name, where)
    if isinstance(thing, Part):
        _left_on(run, thing, cars - there)
    run.put(name, cars, GONE)


def _still_there(run: Run, thing: Part | Fastener | Connection, cars: Region) -> Region:
    if isinstance(thing, Part):
        return run.where(thing.id, IN_PLACE, cars)
    if isinstance(thing, Connection):
        return run.where(thing.id, IS_MADE, cars)
    held = cars - run.where(thing.id, IS_OUT, cars)
    return held - run.where(thing.id, IS_LOOSE, held) if thing.kind == "clamp" else held


def _left_on(run: Run, part: Part, cars: Region) -> None:
    """Find what is still wanted on a part that leaves for good."""
    for child, where in carried(run, part.id, cars):
        wanted = where & wanted_later(run, child)
        if wanted:
            thing = run.car.things[child]
            run.find(
                "left-on-discarded", wanted,
                f"{run.does(child, 'is')} still on {run.called(part.id)}, which goes for good",
                f"`remove {child}` and fit it on what stays, before this; or dispose of it too",
                run.track(child).mark(wanted), thing.place,
            )  # fmt: skip
            run.forgive(child, wanted)


def wanted_later(run: Run, child: str) -> Region:
    """Return the cars on which a part has to move on when what it is on goes for good.

    Not so when something newer replaces it, when it is itself disposed of or goes back to the
    customer, and when it is a seal or the like, whose work ends with that of its part.
    """
    thing = run.car.things[child]
    kit = run.car.kit
    listed = kit is not None and child in map(str, kit.returns)
    if not isinstance(thing, Part) or not thing.reusable or listed:
        return run.none
    if child in run.car.disposed:
        return run.none
    return run.car.expected(child)
