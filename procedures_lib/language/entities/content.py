"""All that one page says, typed, and which other things its entities name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from procedures_lib.findings import Finding
from procedures_lib.language.entities.base import Entity
from procedures_lib.language.entities.car import Connection, Fastener, Opening, Part
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import (
    Common,
    DerivedOptions,
    Expect,
    Job,
    Procedure,
    SampleOptions,
    Signal,
    Step,
)
from procedures_lib.language.reading.page import Block, Page, Scalar


@dataclass(frozen=True, slots=True)
class Derived:
    """A block that the library fills."""

    block: Block
    options: DerivedOptions


@dataclass(frozen=True, slots=True)
class Sample:
    """A page shown as an example, with the findings that it must give."""

    block: Block
    options: SampleOptions


@dataclass(frozen=True, slots=True)
class Content:
    """One page's entities, steps and other blocks.

    ``steps`` maps the id of a procedure or common head to its steps. ``lost`` holds the ids of
    entities that could not be read, ``lost_heads`` those of heads among them, ``damaged`` those of
    entities that were read without all their fields: what follows from that is no second finding.
    """

    page: Page
    entities: tuple[Entity, ...] = ()
    steps: tuple[tuple[str, tuple[Step, ...]], ...] = ()
    expects: tuple[Expect, ...] = ()
    derived: tuple[Derived, ...] = ()
    samples: tuple[Sample, ...] = ()
    signals: tuple[Signal, ...] = ()
    lost: frozenset[str] = frozenset()
    lost_heads: frozenset[str] = frozenset()
    damaged: frozenset[str] = frozenset()
    findings: tuple[Finding, ...] = ()

    def steps_of(self, head: str) -> tuple[Step, ...]:
        """The steps of one procedure or common head."""
        return next((steps for owner, steps in self.steps if owner == head), ())


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
