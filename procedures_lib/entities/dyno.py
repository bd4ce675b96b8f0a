"""The dyno session: pulls before and after, with weather and conditions."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

from pydantic import Field

from procedures_lib.entities.base import Entity, Model
from procedures_lib.entities.field_types import Date, OfKind, OneOf, Ref, Text, plain, refuse
from procedures_lib.findings import Place
from procedures_lib.quantities import Quantity

CORRECTIONS = ("SAE J1349", "ISO 1585", "DIN 70020", "SAE J607", "none")


def _conditions(value: Any) -> tuple[tuple[str, str], ...]:
    if not isinstance(value, dict) or not all(isinstance(v, str) for v in value.values()):
        refuse("wrong-shape", "conditions is a mapping", "write `{gear: 4, fuel: 93 AKI}`")
    return tuple((str(name), str(text)) for name, text in value.items())


Conditions = Annotated[tuple[tuple[str, str], ...], *plain(_conditions, {"type": "object"}, dict)]


class Dyno(Model):
    """The chassis dyno."""

    kind: Annotated[str, OneOf("chassis", "hub", "engine")]
    rollers: Text = ""
    name: Text = ""
    last_verified: Date | None = None


class Air(Model):
    """The weather of a pull."""

    temperature: Annotated[Quantity, OfKind("temperature")]
    pressure: Annotated[Quantity, OfKind("pressure")]
    humidity: Annotated[Quantity, OfKind("share")] | None = None


class Pull(Model):
    """One pull: the file beside the page, the weather, and what differs from the session."""

    place: Place = Field(exclude=True, repr=False)
    pull: Text
    air: Air | None = None
    conditions: Conditions = ()
    note: Text = ""


class DynoSession(Entity):
    """Pulls before and after a procedure on one car."""

    KIND: ClassVar[str] = "dyno-session"

    vehicle: Ref
    procedure: Ref | None = None
    dyno: Dyno
    conditions: Conditions = ()
    correction: Annotated[str, OneOf(*CORRECTIONS)]
    before: tuple[Pull, ...]
    after: tuple[Pull, ...]
    note: Text = ""
