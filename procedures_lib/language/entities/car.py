"""What is on a car: parts, connections, openings, fasteners, fluids; the car itself."""

from __future__ import annotations

import math
from typing import Annotated, Any, ClassVar

from pydantic import Field

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.language.entities.entity import Entity, Model, Names
from procedures_lib.language.entities.field_types import (
    Count,
    OfKind,
    OneOf,
    Positions,
    Ref,
    Refs,
    SettingText,
    Text,
    Texts,
    ThreadText,
    When,
    YearRange,
    YesNo,
    plain,
    refuse,
)
from procedures_lib.language.entities.how_tight import NOTHING_SAID, Stages, Tighten, on_every_car
from procedures_lib.language.variants import ALWAYS, is_condition_word

CARRIES = (
    "fuel", "fuel-vapour", "coolant", "oil", "brake-fluid", "charge-air", "vacuum", "exhaust",
    "refrigerant", "air", "hydraulic", "signal", "power", "airbag",
)  # fmt: skip
ONE_WAY_KINDS = (
    "gasket", "o-ring", "seal", "crush-washer", "cotter-pin", "lock-washer", "lock-wire",
)  # fmt: skip
PART_KINDS = ("part", "control-module", *ONE_WAY_KINDS)
CONNECTION_KINDS = ("plug", "hose", "pipe", "line", "cable", "linkage", "belt", "wire", "joint")
FASTENER_KINDS = (
    "bolt", "screw", "nut", "stud", "washer", "clip", "clamp", "tie", "push-pin", "plug", "rivet",
    "pin", *ONE_WAY_KINDS,
)  # fmt: skip
BOLT_KINDS = ("bolt", "screw", "stud")
"""What a nut goes on."""
TORQUE_FREE_KINDS = frozenset(
    {"washer", "clip", "tie", "push-pin", "rivet", "pin", "cotter-pin", "lock-wire", "lock-washer",
     "gasket", "o-ring", "seal", "crush-washer"}
)  # fmt: skip
CONDITIONS = (
    "dry", "oiled", "greased", "thread-locker", "thread-sealant", "anti-seize", "as supplied",
)  # fmt: skip
LOCKING_KINDS = frozenset({"cotter-pin", "lock-wire", "pin", "clip", "tie"})
"""What keeps another from turning, and goes on when that is tight."""
FRONTS = ("up", "down", "left", "right", "toward you", "away from you")
LIFTED_ALONE = 23.0
"""Kilograms: what one may lift at best after the load constant of the NIOSH lifting equation
(DHHS publication 94-110, table 1). That two lift twice as much is common practice."""
ORDER_PATTERNS = ("cross", "centre-out")


def _options(value: Any) -> tuple[tuple[str, tuple[str, ...]], ...]:
    if not isinstance(value, dict):
        refuse("wrong-shape", "options is a mapping", "write `transmission: [manual, automatic]`")
    pairs = []
    for option, values in value.items():
        words = [values] if isinstance(values, str) else values
        if not _is_word(option):
            refuse("bad-id", f"the option `{option}` is not one word", "join words with hyphens",
                   option.line)  # fmt: skip
        if not isinstance(words, list) or not all(map(_is_word, words)) or len(set(words)) < 2:
            refuse("wrong-shape", f"`{option}` needs two values or more, each one word",
                   f"write `{option}: [one, other]`", option.line)  # fmt: skip
        pairs.append((str(option), tuple(dict.fromkeys(map(str, words)))))
    return tuple(pairs)


def _is_word(value: Any) -> bool:
    return isinstance(value, str) and is_condition_word(value)


_OPTIONS_SCHEMA = {
    "type": "object",
    "additionalProperties": {
        "type": "array", "items": {"type": ["string", "number", "boolean"]}, "minItems": 2
    },
}  # fmt: skip
Options = Annotated[
    tuple[tuple[str, tuple[str, ...]], ...],
    *plain(_options, _OPTIONS_SCHEMA, lambda pairs: {k: list(v) for k, v in pairs}),
]


class Vehicle(Entity):
    """A car, with the options in which one differs from another."""

    KIND: ClassVar[str] = "vehicle"

    name: Text
    also: Texts = ()
    years: YearRange | None = None
    options: Options = ()
    fixed: Texts = ()
    note: Text = ""


class Part(Entity):
    """A part: what holds it, what it is on, what must be off first."""

    KIND: ClassVar[str] = "part"

    name: Text = ""
    also: Texts = ()
    kind: Annotated[str, OneOf(*PART_KINDS)] = "part"
    held_by: Annotated[Refs, Names("fastener")] = ()
    behind: Annotated[Refs, Names("part", "connection")] = ()
    on: Annotated[Ref | None, Names("part")] = None
    closes: Annotated[Refs, Names("opening")] = ()
    reached_from: Annotated[str, OneOf("below")] | None = None
    mass: Annotated[Quantity, OfKind("mass")] | None = None
    needs_support: YesNo | None = None
    setting: SettingText = ""
    when: When = ALWAYS
    count: Count = 1
    reuse: YesNo | None = None
    number: Text = ""
    thread: ThreadText | None = None
    replaces: Annotated[Ref | None, Names("part")] = None
    note: Text = ""

    @property
    def is_heavy(self) -> bool:
        """Whether something, or more than one, has to hold it while it comes off and goes on."""
        if self.needs_support is not None:
            return self.needs_support
        return self.people_to_lift > 1

    @property
    def people_to_lift(self) -> int:
        """How many lift it, each no more than :data:`LIFTED_ALONE`."""
        return math.ceil(self.mass.si / LIFTED_ALONE) if self.mass else 1

    @property
    def reusable(self) -> bool:
        """Whether the part may go back in: one-way kinds may not, unless the page says so."""
        return self.kind not in ONE_WAY_KINDS if self.reuse is None else self.reuse


class Connection(Entity):
    """A plug, hose, line or the like, between two parts."""

    KIND: ClassVar[str] = "connection"

    name: Text = ""
    also: Texts = ()
    kind: Annotated[str, OneOf(*CONNECTION_KINDS)]
    count: Count = 1
    between: Annotated[Texts, Names("part", loose=True)]
    clamp: Annotated[Refs, Names("fastener")] = ()
    held_by: Annotated[Refs, Names("fastener")] = ()
    carries: Annotated[str, OneOf(*CARRIES)] | None = None
    reach: Annotated[str, OneOf("lifted")] | None = None
    behind: Annotated[Refs, Names("part", "connection")] = ()
    hidden_by: Annotated[Refs, Names("part", "connection", "fastener")] = ()
    reached_from: Annotated[str, OneOf("below")] | None = None
    alike: Text = ""
    setting: SettingText = ""
    when: When = ALWAYS
    reuse: YesNo = True
    number: Text = ""
    replaces: Annotated[Ref | None, Names("connection")] = None
    note: Text = ""

    @property
    def holders(self) -> tuple[str, ...]:
        """The fasteners that hold it: clamps and others."""
        return (*self.clamp, *self.held_by)


class Opening(Entity):
    """An opening that stands exposed while something is off."""

    KIND: ClassVar[str] = "opening"

    name: Text = ""
    also: Texts = ()
    exposed_by: Annotated[Refs, Names("connection", "part")]
    dirt_sensitive: YesNo = True
    hidden_by: Annotated[Refs, Names("part", "connection", "fastener")] = ()
    reached_from: Annotated[str, OneOf("below")] | None = None
    when: When = ALWAYS
    note: Text = ""


class Into(Model):
    """What a fastener is screwed into."""

    material: Text = ""
    engagement: Annotated[Quantity, OfKind("length")] | None = None
    part: Annotated[Ref | None, Names("part", called="into part")] = None


class Fastener(Entity):
    """A group of like fasteners that are tightened together."""

    KIND: ClassVar[str] = "fastener"

    name: Text = ""
    also: Texts = ()
    kind: Annotated[str, OneOf(*FASTENER_KINDS)]
    count: Count = 1
    with_: Annotated[Refs, Names("fastener", "part")] = ()
    thread: ThreadText | None = None
    class_: Text = Field(default="", alias="class")
    head: Text = ""
    into: Annotated[Into | None, Names()] = None
    condition: Annotated[str, OneOf(*CONDITIONS)] | None = None
    reuse: YesNo | None = None
    reach: Text = ""
    hidden_by: Annotated[Refs, Names("part", "connection", "fastener")] = ()
    reached_from: Annotated[str, OneOf("below")] | None = None
    closes: Annotated[Refs, Names("opening")] = ()
    adapter: Annotated[Quantity, OfKind("length")] | None = None
    positions: Positions = ()
    front: Annotated[str, OneOf(*FRONTS)] | None = None
    order: Texts = ()
    how_tight: Tighten = Field(default=NOTHING_SAID, alias="tighten")
    at: Annotated[str, OneOf("ride-height")] | None = None
    turns: Annotated[str, OneOf("left", "right")] = "right"
    recheck: Annotated[Quantity, OfKind("distance")] | None = None
    grip: Annotated[Quantity, OfKind("length")] | None = None
    when: When = ALWAYS
    replaces: Annotated[Ref | None, Names("fastener")] = None
    number: Text = ""
    source: Text = ""
    note: Text = ""

    @property
    def reusable(self) -> bool:
        """Whether it may go back in: one-way kinds may not, unless the page says so."""
        return self.kind not in ONE_WAY_KINDS if self.reuse is None else self.reuse

    @property
    def tighten(self) -> Stages:
        """The stages; () where they differ from car to car, for which see :attr:`variants`."""
        return self.how_tight.stages

    @property
    def varies(self) -> bool:
        """Whether its stages differ from car to car."""
        return bool(self.how_tight) and not self.how_tight.is_plain

    @property
    def variants(self) -> tuple[Fastener, ...]:
        """The group as it is on the cars of each condition of its stages; itself, if on all."""
        if not self.varies:
            return (self,)
        return tuple(
            self.model_copy(update={"how_tight": on_every_car(stages), "when": self.when & when})
            for when, stages in self.how_tight.by_condition
        )

    @property
    def takes_torque(self) -> bool:
        """Whether it is of a kind that is tightened to a torque."""
        return self.kind not in TORQUE_FREE_KINDS

    @property
    def class_text(self) -> str:
        """The class, with that word where it needs it: "8.8", but "class 8", "class unknown"."""
        alone = self.class_.isdigit() or self.class_ == "unknown"
        return f"class {self.class_}" if alone else self.class_

    @property
    def locks(self) -> bool:
        """Whether it keeps what it goes ``with`` from turning, rather than clamps it."""
        return self.kind in LOCKING_KINDS

    @property
    def pattern(self) -> str:
        """``cross`` or ``centre-out`` when the order is given by that word, else ""."""
        only = str(self.order[0]) if len(self.order) == 1 else ""
        return only if only in ORDER_PATTERNS else ""


class Fluid(Entity):
    """A fluid of the car."""

    KIND: ClassVar[str] = "fluid"

    name: Text = ""
    also: Texts = ()
    kind: Text
    quantity: Annotated[Quantity, OfKind("volume")] | None = None
    spec: Text = ""
    drain: Texts = ()
    fill: Texts = ()
    bleed: YesNo | None = None
    when: When = ALWAYS
    note: Text = ""

    @property
    def needs_bleeding(self) -> bool:
        """Whether air must be let out after filling: coolant and brake fluid, unless said."""
        return self.kind in {"coolant", "brake-fluid"} if self.bleed is None else self.bleed
