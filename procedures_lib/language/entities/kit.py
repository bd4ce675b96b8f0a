"""The kit page: what is in the box, what it fits, needs and claims."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

from pydantic import Field, ValidationInfo, field_validator

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.findings import Place
from procedures_lib.language.entities.entity import Entity, Model, Names
from procedures_lib.language.entities.field_types import (
    Count,
    OfKind,
    Packed,
    Ref,
    Refs,
    Text,
    Texts,
    When,
    YearRange,
    plain,
    refuse,
)
from procedures_lib.language.variants import ALWAYS

CONTENT_KINDS = ("part", "fastener", "connection", "supply", "paper", "tool")


def _calibration(value: Any) -> tuple[tuple[str, str], ...]:
    if isinstance(value, str) and value.strip():
        return (("", str(value)),)
    if isinstance(value, dict) and all(isinstance(v, str) and v for v in value.values()):
        return tuple((str(key), str(number)) for key, number in value.items())
    return refuse("wrong-shape", "calibration is one number, or one for each value of an option",
           "write `{manual: FC-1, automatic: FC-2}`")  # fmt: skip


_NUMBER_TEXT = {"type": ["string", "number"]}
_CALIBRATION_SCHEMA = {
    "anyOf": [_NUMBER_TEXT, {"type": "object", "additionalProperties": _NUMBER_TEXT}]
}


class Fits(Model):
    """The cars a kit is made for."""

    vehicle: Annotated[Ref, Names("vehicle", called="fits")]
    years: YearRange | None = None
    when: When = ALWAYS


class Needs(Model):
    """What a car must have with this kit: fuel, calibration by variant ("" for every car)."""

    fuel: Annotated[Quantity, OfKind("octane")] | None = None
    calibration: Annotated[
        tuple[tuple[str, str], ...], *plain(_calibration, _CALIBRATION_SCHEMA, dict)
    ] = ()


class Claims(Model):
    """What the kit's maker claims."""

    power: Annotated[Quantity, OfKind("power", signed=True)] | None = None
    torque: Annotated[Quantity, OfKind("torque", signed=True)] | None = None


class Emissions(Model):
    """The emissions label and what to check about it."""

    label: Text
    note: Text = ""

    @property
    def text(self) -> str:
        """Both on one line."""
        return f"{self.label}; {self.note}" if self.note else self.label


class ContentItem(Model):
    """One line of a kit's packing list; one of the first six fields says what it is."""

    place: Place = Field(exclude=True, repr=False)
    part: Annotated[Ref | None, Names("part")] = None
    fastener: Annotated[Ref | None, Names("fastener")] = None
    connection: Annotated[Ref | None, Names("connection")] = None
    supply: Text = ""
    paper: Text = ""
    tool: Text = ""
    number: Text = ""
    name: Text = ""
    also: Texts = ()
    qty: Packed = 1
    spare: Count | None = None
    replaces: Annotated[Ref | None, Names("part", "fastener", "connection")] = None
    when: When = ALWAYS
    note: Text = ""

    @field_validator("qty")
    @classmethod
    def _counted(cls, qty: int | Quantity, said: ValidationInfo) -> int | Quantity:
        if isinstance(qty, Quantity) and not said.data.get("supply"):
            refuse("out-of-range", f"`{qty.written}` is an amount, and only a supply has one here",
                   "write how many there are, or list it as a `supply`")  # fmt: skip
        return qty

    @property
    def count(self) -> int:
        """How many are in the box; 1 of what comes by length, volume or mass."""
        return self.qty if isinstance(self.qty, int) else 1

    @property
    def amount(self) -> Quantity | None:
        """The length, volume or mass of a supply that isn't counted."""
        return self.qty if isinstance(self.qty, Quantity) else None

    @property
    def packed(self) -> str:
        """How much is in the box, as a packing list says it."""
        return self.amount.tidy if self.amount else str(self.count)

    @property
    def kind(self) -> str:
        """Which of ``part``, ``fastener``, ``connection``, ``supply``, ``paper``, ``tool``."""
        return next(kind for kind in CONTENT_KINDS if getattr(self, kind))

    @property
    def what(self) -> str:
        """The id of the part, fastener or connection, or the name of anything else."""
        return str(getattr(self, self.kind))


class Kit(Entity):
    """A kit as sold."""

    KIND: ClassVar[str] = "kit"

    name: Text
    also: Texts = ()
    fits: Annotated[Fits, Names()]
    contents: Annotated[tuple[ContentItem, ...], Names()]
    returns: Annotated[Refs, Names("part", "fastener", "connection")] = ()
    needs: Needs = Needs()
    claims: Claims = Claims()
    emissions: Emissions | None = None
    revision: Text = ""
    note: Text = ""
