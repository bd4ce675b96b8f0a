"""Which fields of an entity name other entities, and of what kind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Opening, Part
from procedures_lib.entities.dyno import DynoSession
from procedures_lib.entities.kit import Kit
from procedures_lib.entities.work import Common, Job, Procedure
from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.base import Entity


@dataclass(frozen=True, slots=True)
class Reference:
    """A field's mention of another entity: ``kinds`` is what it may be.

    A ``loose`` reference may also name something that is not modelled (a fixed end of a plug).
    """

    field: str
    target: Scalar
    kinds: tuple[str, ...]
    loose: bool = False


def references(entity: Entity) -> Iterator[Reference]:
    """Yield every mention of another entity in the fields of ``entity``."""
    if isinstance(entity, Part):
        yield from _many("held-by", entity.held_by, "fastener")
        yield from _many("behind", entity.behind, "part", "connection")
        yield from _one("on", entity.on, "part")
        yield from _one("replaces", entity.replaces, "part")
    elif isinstance(entity, Connection):
        for end in entity.between:
            yield Reference("between", end, ("part",), loose=True)
        yield from _many("clamp", entity.clamp, "fastener")
        yield from _many("held-by", entity.held_by, "fastener")
        yield from _many("behind", entity.behind, "part", "connection")
        yield from _one("replaces", entity.replaces, "connection")
    elif isinstance(entity, Opening):
        yield from _many("exposed-by", entity.exposed_by, "connection", "part")
    elif isinstance(entity, Fastener):
        yield from _one("into part", entity.into.part if entity.into else None, "part")
        yield from _one("replaces", entity.replaces, "fastener")
    else:
        yield from _head_references(entity)


def _head_references(entity: Entity) -> Iterator[Reference]:
    if isinstance(entity, Kit):
        yield from _one("fits", entity.fits.vehicle, "vehicle")
        for item in entity.contents:
            yield from _one("part", item.part, "part")
            yield from _one("fastener", item.fastener, "fastener")
            yield from _one("connection", item.connection, "connection")
            yield from _one("replaces", item.replaces, "part", "fastener", "connection")
        yield from _many("returns", entity.returns, "part", "fastener", "connection")
    elif isinstance(entity, Procedure):
        yield from _one("vehicle", entity.vehicle, "vehicle")
        yield from _one("kit", entity.kit, "kit")
        yield from _many("hazards", entity.hazards, "hazard")
    elif isinstance(entity, Common):
        yield from _one("vehicle", entity.vehicle, "vehicle")
    elif isinstance(entity, Job):
        yield from _one("vehicle", entity.vehicle, "vehicle")
        yield from _many("procedures", entity.procedures, "procedure")
    elif isinstance(entity, DynoSession):
        yield from _one("vehicle", entity.vehicle, "vehicle")
        yield from _one("procedure", entity.procedure, "procedure")


def leans_on(entity: Entity) -> Iterator[Reference]:
    """Yield the mentions of heads on whose pages the ids of this entity's page are looked up."""
    if isinstance(entity, Kit | Procedure | Common | Job | DynoSession):
        for reference in _head_references(entity):
            if set(reference.kinds) & {"vehicle", "kit", "procedure"}:
                yield reference


def _one(field: str, target: Scalar | None, *kinds: str) -> Iterator[Reference]:
    if target is not None:
        yield Reference(field, target, kinds)


def _many(field: str, targets: tuple[Scalar, ...], *kinds: str) -> Iterator[Reference]:
    for target in targets:
        yield Reference(field, target, kinds)
