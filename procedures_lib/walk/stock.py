"""Where new things come from: the kit's box, or a step's supplies."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection
from procedures_lib.manual.names import name_of

if TYPE_CHECKING:
    from procedures_lib.entities.car import Fastener, Part
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.car import Thing
    from procedures_lib.walk.run import Run


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
