"""The kit at the end: all used, or spare; what goes back to the customer, returned."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Part
from procedures_lib.walk.states import IN_PLACE, IS_GONE, IS_MADE, IS_NEW, IS_OUT, NOT_THERE
from procedures_lib.walk.wanted import used_by

if TYPE_CHECKING:
    from procedures_lib.entities.kit import ContentItem, Kit
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.car import Thing
    from procedures_lib.walk.run import Run


def kit_left(run: Run) -> None:
    """Find what lies unused in the box, and what should be in the customer's box."""
    kit = run.car.kit
    if kit is None:
        return
    for item in kit.contents:
        thing = run.car.things.get(item.what)
        if thing is not None and item.kind == thing.KIND and not _all_spare(item):
            _unused(run, kit, item, thing)
    for each in kit.returns:
        _not_returned(run, kit, str(each))


def _all_spare(item: ContentItem) -> bool:
    return item.spare is not None and item.spare >= item.count


def _unused(run: Run, kit: Kit, item: ContentItem, thing: Thing) -> None:
    name = thing.id
    left_in_box = IS_NEW | IS_GONE if name in run.car.renewed else IS_NEW
    new = run.where(name, left_in_box, run.car.exists(name))
    if not new:
        return
    left = new - _said_otherwise(run, thing, new)
    if left:
        run.find(
            "not-used", left, f"{run.does(name, 'stays')} in the kit's box",
            f"use it in a step, or declare it: `spare: {item.count}` in the kit `{kit.id}`",
            item.place, at=run.car.plan.head.place,
        )  # fmt: skip


def _said_otherwise(run: Run, thing: Thing, cars: Region) -> Region:
    """Return where another finding says already that a new thing is not put in."""
    name = thing.id
    if isinstance(thing, Connection):
        said = cars
        for old in run.car.older(name):
            said = said - run.where(old, IS_MADE, said)
        return said
    if isinstance(thing, Part):
        olds = list(run.car.older(name))
        said = cars if olds else run.none
        for old in olds:
            said = said - run.where(old, IN_PLACE, said)
        return said
    if isinstance(thing, Fastener):
        said = used_by(run, run.car.line(name), cars)
        for old in run.car.older(name):
            said = said - (said - run.where(old, IS_OUT, said))
        return said
    return run.none


def _not_returned(run: Run, kit: Kit, name: str) -> None:
    thing = run.car.things.get(name)
    if not isinstance(thing, Part | Fastener | Connection):
        return
    where = run.car.exists(name)
    off = IS_OUT if isinstance(thing, Fastener) else NOT_THERE | {"open"}
    left = run.where(name, off, where) - run.where(name, IS_GONE, where)
    left = run.unforgiven(name, left - run.where(name, IS_NEW, left))
    if left:
        run.find(
            "not-returned", left,
            f"{run.does(name, 'is')} off, and nothing puts it into the customer's box",
            f"`return {name}`, or take it out of the kit's `returns`", kit.place,
            at=run.track(name).mark(left),
        )  # fmt: skip
