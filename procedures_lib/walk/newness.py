"""What comes new: the kit's contents, and what only they need."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Fluid

if TYPE_CHECKING:
    from procedures_lib.walk.car import Car

_UNDOING = frozenset({"remove", "loosen"})


def new_things(car: Car) -> frozenset[str]:
    """Return the ids of what is not on the car as it arrives.

    That is what the kit contains or its page describes, what replaces something, and the
    connections of new parts. Where car and kit stand on one page, so are the fasteners that hold
    nothing but new things and are not undone first.
    """
    plan = car.plan
    new = {name for name in car.items if name in car.things}
    kit_pages = {kit.place.page for kit in plan.kits}
    apart = plan.vehicle is None or plan.vehicle.place.page not in kit_pages
    for name, thing in car.things.items():
        on_kit_page = apart and thing.place.page in kit_pages and not isinstance(thing, Fluid)
        if on_kit_page or getattr(thing, "replaces", None) is not None:
            new.add(name)
    for name, thing in car.things.items():
        if isinstance(thing, Connection) and any(str(end) in new for end in thing.between):
            new.add(name)
    return frozenset(new if apart else new | _fasteners(car, new))


def _fasteners(car: Car, new: set[str]) -> set[str]:
    undone: dict[str, bool] = {}
    for numbered in car.plan.steps:
        for action in numbered.step.actions:
            for name in action.objects:
                undone.setdefault(str(name), str(action.verb) in _UNDOING)
    return {
        name
        for name, thing in car.things.items()
        if isinstance(thing, Fastener)
        and (users := car.users_named.get(name, ()))
        and new.issuperset(users)
        and not undone.get(name, False)
    }
