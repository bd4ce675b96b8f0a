"""Faults in a ``when``: it is missing, or says the opposite."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.language.variants import read_condition
from procedures_lib.language.variants.car_sets import Space
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source
from tests.faults.steps import name_of

NO_CAR = "no procedure that has to do with it is for a car on which that makes a difference"

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.demo import Demo
    from tests.faults.spots import Spot


def _of_steps(demo: Demo) -> Iterator[tuple[Source, str, Spot]]:
    for source in demo.sources.values():
        for step in source.steps:
            whole = source.spots(step.block)
            if whole.get("when"):
                yield source, name_of(step), whole


def _of_entities(demo: Demo) -> Iterator[tuple[Source, str, Spot, str]]:
    """Yield what is only on some cars or in some boxes: page, id, its fields, and words for it."""
    for source in demo.sources.values():
        for entity in source.content.entities:
            whole = source.spot_of(entity)
            if whole.get("when"):
                yield source, entity.id, whole, entity.id
            contents = whole.get("contents") if entity.KIND == "kit" else None
            for item in contents.items if contents else ():
                if item.get("when"):
                    name = item.entries[0][1].value
                    yield source, name, item, f"contents, `{name}`"


def _makes_a_difference(demo: Demo, page: str, name: str, old: str, new: str) -> bool:
    """Tell whether some procedure that has to do with a thing is for cars where it differs."""
    for plan in demo.manual.plans():
        if page not in plan.scope.pages or plan.vehicle is None:
            continue
        near = demo.relations(plan.head.place.page).around([name])
        if not any(near.intersection(action.objects) for p, action in demo.actions if p is plan):
            continue
        space = Space(plan.vehicle.options)
        cars = space.region(plan.kit.fits.when) if plan.kit else space.all
        before, after = (
            space.region(read_condition(text)) if text else space.all for text in (old, new)
        )
        if cars & before != cars & after:
            return True
    return False


@kind("remove a `when` from a step")
def always(demo: Demo) -> Iterator[Fault]:
    """Have a step done on every car."""
    for source, name, whole in _of_steps(demo):
        yield Fault(source.name, f"{name}: on every car", (source.without(whole, "when"),))


@kind("remove a `when` from an entity")
def on_every_car(demo: Demo) -> Iterator[Fault]:
    """Have a thing on every car."""
    for source, name, whole, said in _of_entities(demo):
        old = whole.texts("when")[0].value
        matters = _makes_a_difference(demo, source.name, name, old, "")
        edits = (source.without(whole, "when"),)
        yield Fault(source.name, f"{said}: on every car", edits, "" if matters else NO_CAR)


def _negated(source: Source, name: str, whole: Spot) -> Fault:
    spot = whole.texts("when")[0]
    edit = Edit(spot.start, spot.end, f"not ({spot.value})")
    return Fault(source.name, f"{name}: when not ({spot.value})", (edit,))


@kind("negate the `when` of a step")
def other_cars(demo: Demo) -> Iterator[Fault]:
    """Have a step done on just the other cars."""
    for place in _of_steps(demo):
        yield _negated(*place)


@kind("negate the `when` of an entity")
def on_other_cars(demo: Demo) -> Iterator[Fault]:
    """Have a thing on just the other cars."""
    for source, _, whole, said in _of_entities(demo):
        yield _negated(source, said, whole)
