"""The correction standards, read from ``standards.toml``: formula, reference air, valid range."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from procedures_lib.quantities import read_quantity

NONE = "none"
"""The correction that leaves a pull as it was measured."""

_DATA = tomllib.loads(Path(__file__).with_name("standards.toml").read_text(encoding="utf-8"))
_FUEL = _DATA["fuel"]


@dataclass(frozen=True, slots=True)
class Limits:
    """The range in which a factor may be used, each end included.

    ``factor`` is a plain number, ``temperature`` in °C, ``barometer`` in hPa of the pressure that
    the standard counts; () where there is no limit.
    """

    factor: tuple[float, ...] = ()
    temperature: tuple[float, ...] = ()
    barometer: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Standard:
    """One formula of one standard: gain·(p0/p)^a·((t - zero)/(t0 - zero))^b - (gain - 1).

    Pressures are in hPa, temperatures in °C. ``dry`` tells whether p is the dry pressure. ``name``
    is the word on the page; ``charged`` is what the standard says of charged engines.
    """

    name: str
    called: str
    ignition: str
    charging: tuple[str, ...]
    gain: float
    a: float
    b: float
    reference_pressure: float
    reference_temperature: float
    zero: float
    dry: bool
    limits: Limits
    judged_as: str
    source: str
    range_source: str
    charged: str

    @property
    def reference(self) -> str:
        """The reference air in words."""
        kind = "dry air" if self.dry else "air as it is"
        return f"{self.reference_pressure:.4g} hPa of {kind}, {self.reference_temperature:.3g} °C"

    @property
    def range_text(self) -> str:
        """The range in which it holds, in words."""
        if self.judged_as:
            return f"no range known; the air is held against that of {self.judged_as}"
        factor, air, pressure = self.limits.factor, self.limits.temperature, self.limits.barometer
        return (
            f"factors {factor[0]:.2f}–{factor[1]:.2f}, {air[0]:g}–{air[1]:g} °C,"
            f" {pressure[0]:g}–{pressure[1]:g} hPa"
        )


def _standard(row: dict[str, Any]) -> Standard:
    return Standard(
        name=row["name"],
        called=row["called"],
        ignition=row.get("ignition", "spark"),
        charging=tuple(row.get("charging", ("none", "mechanical", "turbo"))),
        gain=row.get("gain", 1.0),
        a=row["a"],
        b=row["b"],
        reference_pressure=_value(row["reference_pressure"], "pressure", "hPa"),
        reference_temperature=_value(row["reference_temperature"], "temperature", "°C"),
        zero=_value(row["zero"], "temperature", "°C"),
        dry=row["pressure"] == "dry",
        limits=Limits(
            tuple(row.get("factor", ())),
            tuple(_value(text, "temperature", "°C") for text in row.get("temperature", ())),
            tuple(_value(text, "pressure", "hPa") for text in row.get("barometer", ())),
        ),
        judged_as=row.get("judged_as", ""),
        source=row["source"],
        range_source=row["range_source"],
        charged=row["charged"],
    )


def _value(text: str, kind: str, unit: str) -> float:
    return float(read_quantity(text, kind, signed=True).exact_nominal(unit))


@cache
def standards() -> tuple[Standard, ...]:
    """Return all formulas, in the order of the file."""
    return tuple(map(_standard, _DATA["standard"]))


def standard_for(name: str, ignition: str = "spark", charging: str = "none") -> Standard | None:
    """Return the formula of a standard for an engine, None when it has none for it."""
    for each in standards():
        if (each.name, each.ignition) == (name, ignition) and charging in each.charging:
            return each
    return None


def fuel_exponent(corrected_fuel: float) -> float:
    """Return fm, the engine factor of a diesel, from q_c in mg per litre and cycle.

    Source: UN R85 Annex 5, 5.4.2.2: 0.036 q_c - 1.14 from 40 to 65, 0.3 below, 1.2 above.
    """
    if corrected_fuel < _FUEL["from"]:
        return float(_FUEL["below"])
    if corrected_fuel > _FUEL["to"]:
        return float(_FUEL["above"])
    return float(_FUEL["slope"] * corrected_fuel + _FUEL["offset"])
