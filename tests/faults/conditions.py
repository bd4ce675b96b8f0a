"""Faults in a ``when``: it is missing, or says the opposite."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source
from tests.faults.steps import name_of

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


def _of_entities(demo: Demo) -> Iterator[tuple[Source, str, Spot]]:
    """Yield what is only on some cars, and what is only in some boxes."""
    for source in demo.sources.values():
        for entity in source.content.entities:
            whole = source.spot_of(entity)
            if whole.get("when"):
                yield source, entity.id, whole
            contents = whole.get("contents") if entity.KIND == "kit" else None
            for item in contents.items if contents else ():
                if item.get("when"):
                    yield source, f"contents, `{item.entries[0][1].value}`", item


@kind("remove a `when` from a step")
def always(demo: Demo) -> Iterator[Fault]:
    """Have a step done on every car."""
    for source, name, whole in _of_steps(demo):
        yield Fault(source.name, f"{name}: on every car", (source.without(whole, "when"),))


@kind("remove a `when` from an entity")
def on_every_car(demo: Demo) -> Iterator[Fault]:
    """Have a thing on every car."""
    for source, name, whole in _of_entities(demo):
        yield Fault(source.name, f"{name}: on every car", (source.without(whole, "when"),))


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
    for place in _of_entities(demo):
        yield _negated(*place)
