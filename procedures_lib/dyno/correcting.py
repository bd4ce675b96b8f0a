"""The correction of a pull: its factor by a standard, and whether the standard allows it there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.dyno.standards import NONE, Limits, Standard, fuel_exponent, standard_for
from procedures_lib.dyno.vapour import dry_pressure_hpa

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass(frozen=True, slots=True)
class Weather:
    """The air of a pull: °C, hPa at the dyno, relative humidity in % (None: not measured)."""

    temperature: float
    pressure: float
    humidity: float | None = None

    @property
    def dry_pressure(self) -> float:
        """The pressure of the dry air in hPa; ValueError without a humidity."""
        if self.humidity is None:
            raise ValueError("dry pressure needs the humidity")
        return dry_pressure_hpa(self.pressure, self.temperature, self.humidity)


@dataclass(frozen=True, slots=True)
class Engine:
    """What a standard asks of an engine: ``spark`` or ``diesel``; none, mechanical, turbo charging.

    ``corrected_fuel`` is q_c in mg per litre and cycle, for a diesel.
    """

    ignition: str = "spark"
    charging: str = "none"
    corrected_fuel: float | None = None


class CorrectionError(ValueError):
    """A correction that can't be worked out, with what to write."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


@dataclass(frozen=True, slots=True)
class Correction:
    """A factor, the formula it comes from (None: not corrected), and where it leaves its range."""

    factor: float
    standard: Standard | None = None
    outside: tuple[str, ...] = ()


def correct(name: str, weather: Weather | None, engine: Engine | None = None) -> Correction:
    """Return the correction of a pull by the standard of this name (``none`` for a factor of 1).

    CorrectionError when the standard has no formula for the engine, or the air is not known.
    """
    if name == NONE:
        return Correction(1.0)
    engine = engine or Engine()
    standard = standard_for(name, engine.ignition, engine.charging)
    if standard is None:
        raise CorrectionError(
            f"{name} has no formula for a {engine.ignition} engine here",
            "write `correction: ISO 1585`, or `none`",
        )
    if weather is None:
        raise CorrectionError(
            f"{name} needs the air of the pull", "write `air: {temperature: …, pressure: …}`"
        )
    factor = factor_of(standard, weather, engine)
    return Correction(factor, standard, tuple(outside_of(standard, weather, engine)))


def factor_of(standard: Standard, weather: Weather, engine: Engine) -> float:
    """Return the factor by which a standard multiplies measured power and torque."""
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
        raise CorrectionError(
            f"{standard.called} needs the corrected fuel of the engine",
            "write `engine: {…, corrected-fuel: 50}`: mg per litre and cycle at full load",
        )
    return engine.corrected_fuel


def counted_pressure(standard: Standard, weather: Weather) -> float:
    """Return the pressure that the standard counts, in hPa; CorrectionError when not known."""
    if not standard.dry:
        return weather.pressure
    if weather.humidity is None:
        raise CorrectionError(
            f"{standard.name} counts dry air, and the humidity is not given",
            "write `humidity: 45 %` into `air`",
        )
    return weather.dry_pressure


def outside_of(standard: Standard, weather: Weather, engine: Engine) -> Iterator[str]:
    """Yield in words where a factor is outside the range that its standard allows."""
    if standard.judged_as:
        judge = standard_for(standard.judged_as)
        if judge is None or (judge.dry and weather.humidity is None):
            return
        for text in outside_of(judge, weather, Engine()):
            yield f"{text} (the range of {judge.name})"
        return
    yield from _outside(standard.limits, standard, weather, engine)


def _outside(limits: Limits, standard: Standard, weather: Weather, engine: Engine) -> Iterator[str]:
    factor = factor_of(standard, weather, engine)
    pressure = counted_pressure(standard, weather)
    kind = "dry pressure" if standard.dry else "pressure"
    if limits.factor and not _within(factor, limits.factor):
        yield f"factor {factor:.3f}, allowed {_range(limits.factor, '.2f')}"
    if limits.temperature and not _within(weather.temperature, limits.temperature):
        yield f"{weather.temperature:.4g} °C, allowed {_range(limits.temperature, 'g')} °C"
    if limits.barometer and not _within(pressure, limits.barometer):
        yield f"{kind} {pressure:.0f} hPa, allowed {_range(limits.barometer, 'g')} hPa"


def _within(value: float, ends: tuple[float, ...]) -> bool:
    return ends[0] <= value <= ends[1]


def _range(ends: tuple[float, ...], form: str) -> str:
    return f"{ends[0]:{form}}–{ends[1]:{form}}"
