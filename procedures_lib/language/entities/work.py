"""The work as its pages say it: procedures, jobs, steps, actions, double entry, all of a page."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Any, ClassVar

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.findings import Finding, Place
from procedures_lib.language.entities.entity import Entity, Model, Names
from procedures_lib.language.entities.field_types import (
    Count,
    Date,
    OfKind,
    Ref,
    Refs,
    Text,
    Texts,
    When,
)
from procedures_lib.language.entities.how_tight import NOTHING_SAID, HowTight
from procedures_lib.language.reading.page import Block, Page, Scalar
from procedures_lib.language.variants import ALWAYS, Condition


class Procedure(Entity):
    """The head of an install procedure."""

    KIND: ClassVar[str] = "procedure"

    vehicle: Annotated[Ref, Names("vehicle")]
    kit: Annotated[Ref | None, Names("kit")] = None
    revision: Text
    reviewed: Date | None = None
    begins_with: Texts = ()
    ends_with: Texts = ()
    hazards: Annotated[Refs, Names("hazard")] = ()
    handover: Texts = ()
    title: Text = ""
    note: Text = ""


class Common(Entity):
    """The head of steps that many procedures repeat."""

    KIND: ClassVar[str] = "common"

    name: Text = ""
    vehicle: Annotated[Ref | None, Names("vehicle")] = None
    note: Text = ""


class Job(Entity):
    """Several procedures done on one car in one visit."""

    KIND: ClassVar[str] = "job"

    name: Text = ""
    vehicle: Annotated[Ref, Names("vehicle")]
    procedures: Annotated[Refs, Names("procedure")]
    when: When = ALWAYS
    note: Text = ""


class StepOptions(Model):
    """What a writer may give above the prose of a step."""

    do: Texts = ()
    tools: Texts = ()
    supplies: Texts = ()
    people: Count = 1
    time: Annotated[Quantity, OfKind("time")] | None = None
    id: Ref | None = None
    when: When = ALWAYS
    hazards: Refs = ()


class CommonStepsOptions(Model):
    """What a writer may give on a ``{common-steps}`` block."""

    when: When = ALWAYS


class SignalOptions(Model):
    """What a writer may give on a signal word: the hazard that it shows, and the cars."""

    hazard: Ref | None = None
    when: When = ALWAYS


class DerivedOptions(Model):
    """What a writer may give on a derived block."""

    when: When = ALWAYS
    after: Ref | None = None


class SampleOptions(Model):
    """What a writer may give on a ``{page-example}``: the findings it must give (none: clean)."""

    finds: Texts = ()


class RuleOptions(Model):
    """What a writer may give above the text of a rule."""

    name: Text = ""
    about: Texts = ()
    source: Text = ""


class Rule(Entity):
    """A sentence that holds wherever some work is done: what it is about, and its text.

    ``about`` names hazards, verbs, things and what a connection carries, as ``called-by`` does.
    """

    KIND: ClassVar[str] = "rule"

    name: Text = ""
    about: Texts = ()
    source: Text = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class Action:
    """One action of a step: a verb and the objects that share it.

    ``on`` is the new parent of ``fit … on …``; ``stage`` the one stage of ``tighten … stage 1``
    (0 for all); ``to`` what is measured in the end, of ``adjust … to …``.
    """

    verb: Scalar
    objects: tuple[Scalar, ...]
    place: Place = field(compare=False)
    on: Scalar | None = None
    stage: int = 0
    to: str = ""

    @property
    def names(self) -> tuple[Scalar, ...]:
        """All that it names."""
        return self.objects if self.on is None else (*self.objects, self.on)

    def __str__(self) -> str:
        """The action as a writer writes it."""
        tail = f" on {self.on}" if self.on else f" stage {self.stage}" if self.stage else ""
        tail = f" to {self.to}" if self.to else tail
        return f"{self.verb} {', '.join(self.objects)}{tail}"


@dataclass(frozen=True, slots=True)
class Signal:
    """A signal word written on a page, and the hazard it is said to show ("" if not said).

    ``when`` are the cars that it is for.
    """

    word: str
    title: str
    hazard: str
    place: Place = field(compare=False)
    text: str = ""
    when: Condition = ALWAYS


@dataclass(frozen=True, slots=True)
class Step:
    """One step, in its place on its page; ``common`` is the common head whose steps it calls for.

    ``unread`` are actions that could not be read, or the title when that is so of some option.
    ``pictures`` are the ids of those that it shows; ``block`` is the block it was read from, with
    its prose.
    """

    title: str
    place: Place = field(compare=False)
    block: Block = field(compare=False, repr=False)
    id: str = ""
    actions: tuple[Action, ...] = ()
    unread: tuple[Scalar, ...] = ()
    tools: tuple[str, ...] = ()
    supplies: tuple[str, ...] = ()
    people: int = 1
    time: Quantity | None = None
    when: Condition = ALWAYS
    hazards: tuple[Scalar, ...] = ()
    signals: tuple[Signal, ...] = ()
    common: Scalar | None = None
    pictures: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Printed:
    """One field as a source prints it: the word it goes by, and its value, read as the field is."""

    name: str
    value: Any
    place: Place = field(compare=False)


@dataclass(frozen=True, slots=True)
class ExpectRow:
    """One row of a source, typed a second time: all that it prints of one thing, or of one step.

    What a source leaves out is not there. ``kinds`` are those of the things that have all of its
    fields: which of them it is, the id tells.
    """

    id: Scalar
    text: str
    place: Place = field(compare=False)
    how_tight: HowTight = NOTHING_SAID
    order: tuple[str, ...] = ()
    printed: tuple[Printed, ...] = ()
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Expect:
    """Numbers as one source prints them."""

    source: str
    rows: tuple[ExpectRow, ...]
    place: Place = field(compare=False)


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
