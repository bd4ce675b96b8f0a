"""All that one page says, typed."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.findings import Finding
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.work import (
    DerivedOptions,
    Expect,
    SampleOptions,
    Signal,
    Step,
)
from procedures_lib.language.reading.page import Block, Page


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
