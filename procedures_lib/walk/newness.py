"""What comes new: the kit's contents, and what only they need."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Fluid, Part
from procedures_lib.entities.verbs import VERBS

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
    new = {name for name in car.items if name in car.things} - car.renewed
    together = plan.vehicle and any(k.place.page == plan.vehicle.place.page for k in plan.kits)
    for name, thing in car.things.items():
        on_kit_page = thing.place.page in car.kit_pages and not isinstance(thing, Fluid)
        if on_kit_page or getattr(thing, "replaces", None) is not None:
            new.add(name)
    for name, thing in car.things.items():
        if isinstance(thing, Connection) and any(str(end) in new for end in thing.between):
            new.add(name)
    return frozenset(new | _fasteners(car, new) if together else new)


def renewed_things(car: Car) -> frozenset[str]:
    """Return what the kit holds again under the id of what is on the car: a new crush washer.

    It is a fastener or a part for one use that no kit page apart describes, and that the steps
    undo before they put it in.
    """
    undone = _undone(car)
    return frozenset(
        name
        for name, item in car.items.items()
        if undone.get(name, False)
        and not item.replaces
        and isinstance(thing := car.things.get(name), Fastener | Part)
        and thing.replaces is None
        and thing.place.page not in car.kit_pages
        and not (isinstance(thing, Part) and thing.reusable)
    )


def given_anew(car: Car) -> dict[str, str]:
    """Return what connections of new parts take the place of, though no page says so.

    New connections of one kind between the same ends as old ones, as many as there were, stand for
    these in the order written, unless a step connects one of the old ones again.
    """
    connected = {
        str(name)
        for numbered in car.plan.steps
        for action in numbered.step.actions
        if action.verb == "connect"
        for name in action.objects
    }
    replaced = set(car.replaced.values())
    new: dict[tuple[str, ...], list[str]] = {}
    old: dict[tuple[str, ...], list[str]] = {}
    for name, thing in car.things.items():
        if not isinstance(thing, Connection) or name in car.replaced or name in replaced:
            continue
        ends = [str(end) for end in thing.between]
        place = (thing.kind, *sorted(car.line(end) for end in ends))
        if any(end in car.replaced for end in ends):
            new.setdefault(place, []).append(name)
        elif name not in car.new:
            old.setdefault(place, []).append(name)
    found: dict[str, str] = {}
    for place, names in new.items():
        olds = old.get(place, [])
        if len(names) == len(olds) and connected.isdisjoint(olds):
            found |= dict(zip(names, olds, strict=True))
    return found


def _undone(car: Car) -> dict[str, bool]:
    """Tell of each thing that the steps change whether it is first undone."""
    undone: dict[str, bool] = {}
    for numbered in car.plan.steps:
        for action in numbered.step.actions:
            if VERBS[str(action.verb)].kinds:
                for name in action.objects:
                    undone.setdefault(str(name), str(action.verb) in _UNDOING)
    return undone


def _fasteners(car: Car, new: set[str]) -> set[str]:
    undone = _undone(car)
    return {
        name
        for name, thing in car.things.items()
        if isinstance(thing, Fastener)
        and (users := car.users_named.get(name, ()))
        and new.issuperset(users)
        and not undone.get(name, False)
    }
