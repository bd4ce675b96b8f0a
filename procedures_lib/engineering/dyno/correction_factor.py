"""The correction of a pull to a standard's air (SAE J1349 …): factor and valid range."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from procedures_lib.data_tables import toml_table
from procedures_lib.engineering.quantities import read_quantity
from procedures_lib.findings import SlipError


def saturation_pressure_hpa(temperature_c: float) -> float:
    """Return the saturation vapour pressure over water in hPa, for -40 to 60 °C.

    Source: Buck (1996, equation of the CR-1A manual), over water, without the enhancement factor
    of moist air: 6.1121 exp((18.678 - t/234.5) t / (257.14 + t)), t in °C.
    """
    t = temperature_c
    return 6.1121 * math.exp((18.678 - t / 234.5) * t / (257.14 + t))


def vapour_pressure_hpa(temperature_c: float, humidity_percent: float) -> float:
    """Return the vapour pressure in hPa of air at a temperature in °C and relative humidity in %.

    By definition of the relative humidity. ValueError for one below 0 or above 100 %.
    """
    if not 0 <= humidity_percent <= 100:
        raise ValueError(f"a relative humidity of {humidity_percent:g} % can't be")
    return saturation_pressure_hpa(temperature_c) * humidity_percent / 100


def dry_pressure_hpa(pressure_hpa: float, temperature_c: float, humidity_percent: float) -> float:
    """Return the pressure of the dry air in hPa: the barometer less the vapour pressure.

    ``pressure_hpa`` is the pressure at the dyno (station pressure), not one reduced to sea level;
    temperature in °C, humidity in %. As UN R85 Annex 5 has it; ValueError for a bad humidity.
    """
    return pressure_hpa - vapour_pressure_hpa(temperature_c, humidity_percent)


def humidity_of_dew_point(temperature_c: float, dew_point_c: float) -> float:
    """Return the relative humidity in % of air at a temperature, from its dew point, both in °C.

    By definition of the dew point; above 100 where it is higher than the temperature.
    """
    return 100 * saturation_pressure_hpa(dew_point_c) / saturation_pressure_hpa(temperature_c)


def humidity_of_wet_bulb(temperature_c: float, wet_bulb_c: float, pressure_hpa: float) -> float:
    """Return the relative humidity in % from dry and wet bulb in °C, and the barometer in hPa.

    Source: WMO No. 8, annex 4.B, for an aspirated psychrometer above freezing: the vapour pressure
    is that of saturation at the wet bulb less 6.53e-4 (1 + 9.44e-4 t_w) p (t - t_w) (from memory).
    """
    cooled = 6.53e-4 * (1 + 9.44e-4 * wet_bulb_c) * pressure_hpa * (temperature_c - wet_bulb_c)
    vapour = saturation_pressure_hpa(wet_bulb_c) - cooled
    return 100 * vapour / saturation_pressure_hpa(temperature_c)


NONE = "none"
"""The correction that leaves a pull as it was measured."""

_DATA = toml_table(__package__, "standards.toml")
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

    def texts(self) -> tuple[str, str, str]:
        """Return the three ranges in words."""
        factor = "–".join(f"{end:.2f}" for end in self.factor)
        temperature, barometer = (
            "–".join(f"{end:g}" for end in ends) for ends in (self.temperature, self.barometer)
        )
        return factor, f"{temperature} °C", f"{barometer} hPa"


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
        return f"factors {', '.join(self.limits.texts())}"


def _standard(row: dict[str, Any]) -> Standard:
    return Standard(
        name=row["name"],
        called=row["called"],
        ignition=row.get("ignition", "spark"),
        charging=row.get("charging", ("none", "mechanical", "turbo")),
        gain=row.get("gain", 1.0),
        a=row["a"],
        b=row["b"],
        reference_pressure=_value(row["reference_pressure"], "pressure", "hPa"),
        reference_temperature=_value(row["reference_temperature"], "temperature", "°C"),
        zero=_value(row["zero"], "temperature", "°C"),
        dry=row["pressure"] == "dry",
        limits=Limits(
            row.get("factor", ()),
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
    """Return all formulas (hPa, °C), in the order of ``standards.toml``: each has its source."""
    return tuple(map(_standard, _DATA["standard"]))


def standard_for(name: str, ignition: str = "spark", charging: str = "none") -> Standard | None:
    """Return the formula (hPa, °C) of a standard for an engine, None when it has none for it.

    ``name`` is the standard's: ``SAE J1349``, ``ISO 1585``, ``DIN 70020``, ``SAE J607``.
    """
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


@dataclass(frozen=True, slots=True)
class Weather:
    """The air of a pull: °C, hPa at the dyno, relative humidity in % (None: not measured)."""

    temperature: float
    pressure: float
    humidity: float | None = None


@dataclass(frozen=True, slots=True)
class Engine:
    """What a standard asks of an engine: ``spark`` or ``diesel``; none, mechanical, turbo charging.

    ``corrected_fuel`` is q_c in mg per litre and cycle, for a diesel.
    """

    ignition: str = "spark"
    charging: str = "none"
    corrected_fuel: float | None = None


class CorrectionError(SlipError):
    """A correction that can't be worked out, with what to write."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__("not-comparable", message, hint)


@dataclass(frozen=True, slots=True)
class Correction:
    """A factor, the formula it comes from (None: not corrected), and where it leaves its range."""

    factor: float
    standard: Standard | None = None
    outside: tuple[str, ...] = ()


def correct(name: str, weather: Weather | None, engine: Engine | None = None) -> Correction:
    """Return the correction of a pull by a standard, ``SAE J1349`` say; a factor of 1 for ``none``.

    The factor is dimensionless; the air is in °C, hPa and %, the diesel's fuel in mg per litre.
    CorrectionError when the standard has no formula for the engine, or the air is not known.
    """
    if name == NONE:
        return Correction(1.0)
    engine = engine or Engine()
    standard = standard_for(name, engine.ignition, engine.charging)
    if standard is None:
        message = f"{name} has no formula for a {engine.ignition} engine here"
        raise CorrectionError(message, "write `correction: ISO 1585`, or `none`")
    if weather is None:
        hint = "write `air: {temperature: …, pressure: …}`"
        raise CorrectionError(f"{name} needs the air of the pull", hint)
    factor = factor_of(standard, weather, engine)
    return Correction(factor, standard, tuple(outside_of(standard, weather, engine)))


def factor_of(standard: Standard, weather: Weather, engine: Engine) -> float:
    """Return the factor (dimensionless) by which a standard multiplies measured power and torque.

    The formula is that of the standard's ``source``: gain·(p0/p)^a·(T/T0)^b - (gain - 1), and for
    a diesel that ratio to the power of :func:`fuel_exponent` (UN R85 Annex 5, 5.4.2).
    CorrectionError when the humidity or the diesel's fuel is not given.
    """
    pressure = counted_pressure(standard, weather)
    absolute = weather.temperature - standard.zero
    reference = standard.reference_temperature - standard.zero
    ratio: float = (standard.reference_pressure / pressure) ** standard.a
    ratio *= (absolute / reference) ** standard.b
    if standard.ignition == "diesel":
        exponent = fuel_exponent(_fuel(standard, engine))
        return math.pow(ratio, exponent)
    return standard.gain * ratio - (standard.gain - 1)


def _fuel(standard: Standard, engine: Engine) -> float:
    if engine.corrected_fuel is None:
        message = f"{standard.called} needs the corrected fuel of the engine"
        hint = "write `engine: {…, corrected-fuel: 50}`: mg per litre and cycle at full load"
        raise CorrectionError(message, hint)
    return engine.corrected_fuel


def counted_pressure(standard: Standard, weather: Weather) -> float:
    """Return the pressure that the standard counts, in hPa; CorrectionError when not known.

    SAE J1349 and ISO 1585 count the dry air, DIN 70020 the barometer.
    """
    if not standard.dry:
        return weather.pressure
    if weather.humidity is None:
        message = f"{standard.name} counts dry air, and the humidity is not given"
        raise CorrectionError(message, "write `humidity: 45 %` into `air`")
    return dry_pressure_hpa(weather.pressure, weather.temperature, weather.humidity)


def outside_of(standard: Standard, weather: Weather, engine: Engine) -> Iterator[str]:
    """Yield in words where factor, temperature (°C) or pressure (hPa) leave a standard's range.

    The standard's ``range_source`` says where that comes from. CorrectionError as ``factor_of``.
    """
    if standard.judged_as:
        judge = standard_for(standard.judged_as)
        if judge is None or (judge.dry and weather.humidity is None):
            return
        for text in outside_of(judge, weather, Engine()):
            yield f"{text} (the range of {judge.name})"
        return
    factor, pressure = factor_of(standard, weather, engine), counted_pressure(standard, weather)
    kind = "dry pressure" if standard.dry else "pressure"
    limits = standard.limits
    factors, temperatures, pressures = limits.texts()
    if _beyond(factor, limits.factor):
        yield f"factor {factor:.3f}, allowed {factors}"
    if _beyond(weather.temperature, limits.temperature):
        yield f"{weather.temperature:.4g} °C, allowed {temperatures}"
    if _beyond(pressure, limits.barometer):
        yield f"{kind} {pressure:.0f} hPa, allowed {pressures}"


def _beyond(value: float, ends: tuple[float, ...]) -> bool:
    return bool(ends) and not ends[0] <= value <= ends[1]
