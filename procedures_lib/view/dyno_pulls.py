"""The pulls of a session as the page tells them: air, times, conditions, and what can't be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import fmean

from procedures_lib.engineering.dyno.comparability import MUST_AGREE, missing, same, tidy
from procedures_lib.engineering.dyno.correction_factor import (
    NONE,
    Correction,
    Engine,
    Weather,
    factor_of,
    humidity_of_dew_point,
    humidity_of_wet_bulb,
    standard_for,
)
from procedures_lib.engineering.dyno.limits import (
    OTHER_DAY_HPA,
    SAME_DAY_HPA,
    TEMPERATURE_JUMP_C,
    UNLIKE_AIR_SHARE,
)
from procedures_lib.engineering.dyno.noise import Leap
from procedures_lib.engineering.dyno.pull import Pull
from procedures_lib.engineering.dyno.soundness import Doubt, signed
from procedures_lib.findings import Finding
from procedures_lib.language.entities.dyno_session import Air, DynoSession, Moment
from procedures_lib.language.entities.dyno_session import Pull as PullEntry

SIDES = ("before", "after")


@dataclass(frozen=True, slots=True)
class MeasuredPull:
    """One pull: what the page says of it, and the corrected curve (None when it can't be used).

    ``name`` tells which it is: ``before 1``. ``conditions`` are the session's with its own.
    ``samples`` is a hash of what was measured; ``repeats`` names an earlier pull of its side that
    has the same. ``leaps`` are rows that were left out of the curve, ``minutes`` when it was made.
    """

    name: str
    entry: PullEntry
    conditions: dict[str, str]
    weather: Weather | None
    correction: Correction | None = None
    pull: Pull | None = None
    samples: str = ""
    repeats: str = ""
    leaps: tuple[Leap, ...] = ()
    minutes: float | None = None


def entries(session: DynoSession, side: str) -> list[MeasuredPull]:
    """Return the pulls of a side as the page names them, not read yet."""
    entries: tuple[PullEntry, ...] = getattr(session, side)
    common = tidy(session.conditions)
    dyno = session.dyno.name or session.dyno.kind
    return [
        MeasuredPull(
            f"{side} {n}",
            entry,
            {"dyno": dyno, "correction": session.correction, **common, **tidy(entry.conditions)},
            weather_of(entry.air),
            minutes=minutes_of(entry.time),
        )
        for n, entry in enumerate(entries, start=1)
    ]


def weather_of(air: Air | None) -> Weather | None:
    """Return the air of a pull in the units of the formulas."""
    if air is None:
        return None
    temperature = float(air.temperature.exact_nominal("°C"))
    pressure = float(air.pressure.exact_nominal("hPa"))
    humidity = None
    if air.humidity:
        humidity = float(air.humidity.exact_nominal("%"))
    elif air.dew_point:
        humidity = humidity_of_dew_point(temperature, float(air.dew_point.exact_nominal("°C")))
    elif air.wet_bulb:
        bulb = float(air.wet_bulb.exact_nominal("°C"))
        humidity = humidity_of_wet_bulb(temperature, bulb, pressure)
    return Weather(temperature, pressure, humidity)


def minutes_of(time: Moment | None) -> float | None:
    """Return when a pull was made, in minutes from a day far back, or of its own day."""
    if time is None:
        return None
    return time.minutes + (time.day.toordinal() * 1440 if time.day else 0)


def word_findings(session: DynoSession, pulls: list[MeasuredPull]) -> Iterator[Finding]:
    """Yield what the page says that can't be: of the water in the air, of times, of conditions."""
    yield from _water(pulls)
    yield from _times(pulls)
    yield from condition_findings(session, pulls)
    yield from _unlike_air(session, pulls)


def _water(pulls: list[MeasuredPull]) -> Iterator[Finding]:
    """Find water told twice, and a dew point or wet bulb that the air can't have."""
    for pull in pulls:
        air, weather = pull.entry.air, pull.weather
        if air is None or weather is None or weather.humidity is None:
            continue
        told = [each for each in (air.humidity, air.dew_point, air.wet_bulb) if each is not None]
        if len(told) > 1:
            yield Finding(pull.entry.place, "wrong-shape",
                          f"the water in the air of {pull.name} is told {len(told)} times",
                          "keep one of `humidity`, `dew-point` and `wet-bulb`")  # fmt: skip
        elif not water_can_be(weather):
            name = "dew-point" if air.dew_point else "wet-bulb"
            yield Finding(pull.entry.place, "out-of-range",
                          f"`{name}: {told[0].tidy}` can't be in air of {air.temperature.tidy}: it"
                          f" makes {weather.humidity:.0f} % of humidity",
                          "look at both readings: the air's own is the highest")  # fmt: skip


def water_can_be(weather: Weather | None) -> bool:
    """Tell whether air can hold the water that is told of it, or nothing is told."""
    return weather is None or weather.humidity is None or 0 <= weather.humidity <= 100


def _times(pulls: list[MeasuredPull]) -> Iterator[Finding]:
    """Find pulls without a time, or without its day, where others have one."""
    times = [pull.entry.time for pull in pulls]
    told = [time for time in times if time is not None]
    for pull, time in zip(pulls, times, strict=True):
        if told and time is None:
            yield Finding(pull.entry.place, "missing-field",
                          f"{pull.name} has no `time`, others have one",
                          "write when it was made, or take the times of all away")  # fmt: skip
            return
        if time is not None and time.day is None and any(each.day for each in told):
            yield Finding(pull.entry.place, "missing-field",
                          f"the `time` of {pull.name} has no day, others have one",
                          f"write `2026-07-23 {time.written}`")  # fmt: skip
            return


def _unlike_air(session: DynoSession, pulls: list[MeasuredPull]) -> Iterator[Finding]:
    """Find air that makes a gain by itself where nothing is corrected."""
    effect = air_effect(pulls)
    if session.correction != NONE or effect is None or abs(effect) <= UNLIKE_AIR_SHARE:
        return
    yield Finding(session.place, "not-comparable",
                  "nothing is corrected, and by ISO 1585 the air alone would make"
                  f" {signed(effect * 100)} % between before and after",
                  "measure both sides in like air, or write `correction: ISO 1585`")  # fmt: skip


def air_effect(pulls: Sequence[MeasuredPull]) -> float | None:
    """Return the share by which the air alone changes the power after; None where it is not known.

    By the factor of ISO 1585, on dry pressures; where a humidity is missing, on the barometer.
    """
    standard = standard_for("ISO 1585")
    means = []
    known = all(pull.weather and pull.weather.humidity is not None for pull in pulls)
    for side in SIDES:
        air = [pull.weather for pull in pulls if pull.name.startswith(side)]
        if standard is None or not air or not all(air) or not all(map(water_can_be, air)):
            return None
        dry = [each if known else replace(each, humidity=0.0) for each in air if each]
        means.append(fmean(factor_of(standard, each, Engine()) for each in dry))
    return means[0] / means[1] - 1


def air_doubts(pulls: Sequence[MeasuredPull]) -> Iterator[Doubt]:
    """Yield jumps of pressure and temperature from pull to pull that weather does not make."""
    air = [(pull, pull.weather) for pull in pulls if pull.weather]
    if not air:
        return
    days = {pull.entry.time.day for pull in pulls if pull.entry.time}
    most = OTHER_DAY_HPA if len(days) > 1 else SAME_DAY_HPA
    low, high = (end(air, key=lambda each: each[1].pressure) for end in (min, max))
    apart = high[1].pressure - low[1].pressure
    if apart > most:
        yield Doubt("air-jumps", f"the pressure jumps by {apart:.0f} hPa between pulls",
                    f"the pressure of {high[0].name} is {high[1].pressure:.0f} hPa, that of"
                    f" {low[0].name} {low[1].pressure:.0f} hPa",
                    "write the pressure at the dyno for all of them, none reduced to sea level",
                    high[0].name)  # fmt: skip
    low, high = (end(air, key=lambda each: each[1].temperature) for end in (min, max))
    apart = high[1].temperature - low[1].temperature
    if apart > TEMPERATURE_JUMP_C:
        yield Doubt("air-jumps", f"the air differs by {apart:.0f} °C between pulls",
                    f"the air of {high[0].name} has {high[1].temperature:.3g} °C, that of"
                    f" {low[0].name} {low[1].temperature:.3g} °C",
                    "look at the readings; let the cell cool down, and make the pulls again",
                    high[0].name)  # fmt: skip


def condition_findings(session: DynoSession, pulls: list[MeasuredPull]) -> Iterator[Finding]:
    """Yield what forbids to compare the pulls: one finding for each condition and value of it."""
    anywhere = {name: "known" for pull in pulls for name, text in pull.conditions.items() if text}
    for name in missing(anywhere):
        yield Finding(session.place, "not-comparable",
                      f"`{name}` is not written down, so nobody knows whether it was the same",
                      f"write it into `conditions: {{{name}: …}}`")  # fmt: skip
    for name in MUST_AGREE:
        usual, *others = _groups(name, pulls)
        for group in others:
            first = group[0]
            told = f"{', '.join(pull.name for pull in group)}: {name}"
            told += f" {_said(first, name)}, {usual[0].name}: {_said(usual[0], name)}"
            yield Finding(first.entry.place, "not-comparable", told,
                          "make the pulls again under the same conditions",
                          related=(usual[0].entry.place,))  # fmt: skip


def _groups(name: str, pulls: list[MeasuredPull]) -> list[list[MeasuredPull]]:
    """Part the pulls by what they say of a condition, the largest group first."""
    groups: list[list[MeasuredPull]] = [[]]
    for pull in pulls:
        text = pull.conditions.get(name, "")
        for group in groups:
            if not group or same(name, group[0].conditions.get(name, ""), text):
                group.append(pull)
                break
        else:
            groups.append([pull])
    return sorted(groups, key=len, reverse=True)


def _said(pull: MeasuredPull, name: str) -> str:
    text = pull.conditions.get(name, "")
    return f"`{text}`" if text else "not given"
