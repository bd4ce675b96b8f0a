"""What holds parts and connections: still in when it should be out, in before it should be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import TORQUE_FREE_KINDS, Fastener
from procedures_lib.walk.states import IS_LOOSE, IS_OUT, IS_TIGHT, LOOSE, OUT, SLACK

if TYPE_CHECKING:
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run


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
