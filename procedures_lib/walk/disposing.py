"""What leaves the car for good: into the scrap, or into the customer's box."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Part
from procedures_lib.walk.reach import carried
from procedures_lib.walk.states import (
    GONE,
    IN_PLACE,
    IS_GONE,
    IS_LOOSE,
    IS_MADE,
    IS_OUT,
)

if TYPE_CHECKING:
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run


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
