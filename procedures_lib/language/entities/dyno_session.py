"""The dyno session: pulls before and after, with weather and conditions."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from pydantic import Field

from procedures_lib.engineering.quantities import Quantity, unit_named, units_of
from procedures_lib.engineering.quantities.units import converted
from procedures_lib.findings import Place
from procedures_lib.language.entities.entity import Entity, Model, Names
from procedures_lib.language.entities.field_types import (
    Date,
    OfKind,
    OneOf,
    Ref,
    Text,
    one,
    plain,
    refuse,
)

CORRECTIONS = ("SAE J1349", "ISO 1585", "DIN 70020", "SAE J607", "none")


class Within(OfKind):
    """Marks a field as a quantity that can only lie between two values, given in ``unit``."""

    def __init__(self, kind: str, unit: str, low: float, high: float) -> None:
        super().__init__(kind)
        self.unit, self.low, self.high = unit, low, high

    def _read(self, value: Any) -> Quantity:
        read = super()._read(value)
        if not self.low <= read.exact_nominal(self.unit) <= self.high:
            refuse(
                "out-of-range",
                f"{read.tidy} can't be",
                self._meant(read) or f"it lies between {self.low:g} and {self.high:g} {self.unit}",
            )
        return read

    def _meant(self, read: Quantity) -> str:
        """The unit in which the same number would do: 29.2 is inHg, not hPa."""
        unit = unit_named(self.unit)
        for other in units_of(self.kind):
            meant = converted(read.nominal, other, unit)
            if other.symbol != read.unit and self.low <= meant <= self.high:
                return f"did you mean {float(read.nominal):g} {other.symbol}?"
        return ""


def _conditions(value: Any) -> tuple[tuple[str, str], ...]:
    if not isinstance(value, dict) or not all(isinstance(v, str) for v in value.values()):
        refuse("wrong-shape", "conditions is a mapping", "write `{gear: 4, fuel: 93 AKI}`")
    return tuple((str(name), str(text)) for name, text in value.items())


_CONDITIONS_SCHEMA = {
    "type": "object", "additionalProperties": {"type": ["string", "number", "boolean"]}
}  # fmt: skip
Conditions = Annotated[tuple[tuple[str, str], ...], *plain(_conditions, _CONDITIONS_SCHEMA, dict)]


def _fuel(value: Any) -> float:
    text = str(value).strip()
    try:
        number = float(text) if text.replace(".", "", 1).isascii() else 0.0
    except ValueError:
        number = 0.0
    if not 1 <= number <= 500:
        refuse("out-of-range", f"`{text}` is no corrected fuel of a diesel",
               "write a plain number in mg per litre and cycle, such as 50")  # fmt: skip
    return number


CorrectedFuel = Annotated[float, *plain(_fuel, {"type": ["number", "string"]}, float)]


def _units(value: Any) -> tuple[str, ...]:
    texts = value if isinstance(value, list | tuple) else [value]
    found: dict[str, str] = {}
    for text in texts:
        unit = unit_named(str(text).strip())
        if unit.kind not in {"power", "torque"} or unit.kind in found:
            refuse("wrong-dimension", f"`{text}` is not a unit of power or torque, each once",
                   "write `[kW, N·m]` or `[hp, lbf·ft]`")  # fmt: skip
        found[unit.kind] = unit.symbol
    return tuple(found.values())


_UNITS_SCHEMA = {
    "anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "maxItems": 2}]
}
Units = Annotated[tuple[str, ...], *plain(_units, _UNITS_SCHEMA, list)]


class Dyno(Model):
    """The chassis dyno."""

    kind: Annotated[str, OneOf("chassis", "hub", "engine")]
    rollers: Text = ""
    name: Text = ""
    last_verified: Date | None = None


class EngineKind(Model):
    """What a correction standard asks of an engine; ``corrected_fuel`` is q_c of UN R85."""

    ignition: Annotated[str, OneOf("spark", "diesel")] = "spark"
    charging: Annotated[str, OneOf("none", "mechanical", "turbo")] = "none"
    corrected_fuel: CorrectedFuel | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """When a pull was made: as written, the day where it says one, and minutes of the day."""

    written: str
    day: datetime.date | None
    minutes: float

    def __str__(self) -> str:
        return self.written


_MOMENT = re.compile(r"(?:([0-9-]+)[ T]+)?([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?$")


def _moment(value: Any) -> Moment:
    text = str(one(value)).strip()
    match = _MOMENT.match(text)
    if match is None or int(match[2]) > 23 or int(match[3]) > 59 or int(match[4] or 0) > 59:
        refuse("wrong-shape", f"`{text}` is no time of day",
               "write `10:42`, or with the day `2026-07-23 10:42`")  # fmt: skip
    try:
        day = datetime.date.fromisoformat(match[1]) if match[1] else None
    except ValueError:
        refuse("wrong-shape", f"`{match[1]}` is no day", "write year-month-day: `2026-07-23`")
    return Moment(text, day, int(match[2]) * 60 + int(match[3]) + int(match[4] or 0) / 60)


Time = Annotated[Moment, *plain(_moment, {"type": "string", "pattern": ":[0-9]{2}"})]


class Humidity(Within):
    """Marks the relative humidity: what is written as a fraction is no per cent."""

    def _read(self, value: Any) -> Quantity:
        read = super()._read(value)
        share = float(read.exact_nominal("%"))
        if share <= 1:
            refuse("out-of-range", f"{read.tidy} can't be: no air at a dyno is so dry",
                   f"did you mean {share * 100:g} %?" if share else "leave it out where it is not"
                   " known")  # fmt: skip
        return read


class Air(Model):
    """The weather of a pull: the pressure is that at the dyno, not reduced to sea level.

    Its water is told by ``humidity``, ``dew_point`` or ``wet_bulb``.
    """

    temperature: Annotated[Quantity, Within("temperature", "°C", -40, 60)]
    pressure: Annotated[Quantity, Within("pressure", "hPa", 500, 1100)]
    humidity: Annotated[Quantity, Humidity("share", "%", 0, 100)] | None = None
    dew_point: Annotated[Quantity, Within("temperature", "°C", -40, 60)] | None = None
    wet_bulb: Annotated[Quantity, Within("temperature", "°C", 0, 60)] | None = None


class Pull(Model):
    """One pull: the file beside the page, the weather, and what differs from the session.

    ``time`` is when it was made: with it, pulls made in turns let a drift be taken out.
    """

    place: Place = Field(exclude=True, repr=False)
    pull: Text
    time: Time | None = None
    air: Air | None = None
    conditions: Conditions = ()
    note: Text = ""


class DynoSession(Entity):
    """Pulls before and after a procedure on one car.

    ``units`` are those of the report, ``band`` the speeds over which means are taken, ``smoothing``
    the width of a moving mean (none: the pulls are taken as they are).
    """

    KIND: ClassVar[str] = "dyno-session"

    vehicle: Annotated[Ref, Names("vehicle")]
    procedure: Annotated[Ref | None, Names("procedure")] = None
    date: Date | None = None
    dyno: Dyno
    engine: EngineKind = EngineKind()
    conditions: Conditions = ()
    correction: Annotated[str, OneOf(*CORRECTIONS)]
    units: Units = ()
    band: Annotated[Quantity, OfKind("rotation")] | None = None
    smoothing: Annotated[Quantity, Within("rotation", "rpm", 1, 1000)] | None = None
    before: tuple[Pull, ...]
    after: tuple[Pull, ...]
    note: Text = ""
