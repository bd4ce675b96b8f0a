"""What has to be said beside a gain, and the units and numbers of a report."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from procedures_lib.engineering.dyno.comparability import TYRES, differences
from procedures_lib.engineering.dyno.correction_factor import NONE
from procedures_lib.engineering.dyno.gain import Gain
from procedures_lib.engineering.dyno.gain_interval import Interval
from procedures_lib.engineering.dyno.limits import (
    CONFIDENCE,
    FEWEST_PULLS,
    LARGEST_CROSSINGS,
    VERIFIED_DAYS,
)
from procedures_lib.engineering.quantities import NO_BREAK_SPACE, unit_named
from procedures_lib.manual import Manual
from procedures_lib.view.claims import factor_to, in_unit, interval_text, kit_of
from procedures_lib.view.dyno_pulls import SIDES, air_effect
from procedures_lib.view.dyno_result import Measured

_BESIDE = {"kW": "hp", "hp": "kW", "PS": "kW", "N·m": "lbf·ft"}
_SPEEDS_TO = 10


def units_of(manual: Manual, measured: Measured) -> dict[str, str]:
    """Return the units of the report: the session's, else those of the kit's claims, else SI."""
    units = {"power": "kW", "torque": "N·m"}
    kit = kit_of(manual, measured.session)
    for claim in (kit.claims.power, kit.claims.torque) if kit else ():
        if claim is not None:
            units[claim.kind] = claim.unit
    for symbol in measured.session.units:
        units[unit_named(symbol).kind] = symbol
    return units


def level(value: float, quantity: str, units: Mapping[str, str]) -> str:
    """Return a power in kW or torque in N·m as text in the report's unit: ``149.7 hp``."""
    unit = units[quantity]
    return f"{value * factor_to(quantity, unit):.1f}{NO_BREAK_SPACE}{unit}"


def gained(interval: Interval, quantity: str, units: Mapping[str, str]) -> str:
    """Return a gain in the report's unit: ``+16.3 ± 1.2 hp``."""
    return interval_text(in_unit(interval, quantity, units[quantity]), units[quantity])


def gained_beside(interval: Interval, quantity: str, units: Mapping[str, str]) -> str:
    """Return the same gain in the other customary unit."""
    return gained(interval, quantity, {quantity: _BESIDE.get(units[quantity], "N·m")})


def area(value: float, quantity: str, units: Mapping[str, str]) -> str:
    """Return an area in kW·rpm or N·m·rpm in the report's unit, to three digits: ``52500``."""
    number = float(f"{value * factor_to(quantity, units[quantity]):.3g}")
    text = f"{number:+.0f}".replace("-", "\u2212")
    return f"{text}{NO_BREAK_SPACE}{units[quantity]}·rpm"


def share(interval: Interval, before: float) -> str:
    """Return a gain in per cent of what was there before."""
    text = f"{interval.estimate / before * 100:+.1f}".replace("-", "\u2212")
    return f"{text}{NO_BREAK_SPACE}%"


def rpm(speed: float) -> str:
    """Return a speed as text, to 10 rpm."""
    return f"{round(speed / _SPEEDS_TO) * _SPEEDS_TO:g}{NO_BREAK_SPACE}rpm"


def ranges(found: tuple[tuple[float, float], ...]) -> str:
    """Return ranges of speed as text: ``2000–3500 and 4200–6500 rpm``; "" for none."""
    texts = [f"{low:g}–{high:g}" if low != high else f"{low:g}" for low, high in found]
    return f"{' and '.join(texts)}{NO_BREAK_SPACE}rpm" if texts else ""


THIS_CAR = (
    "This car, on this day, on this dyno. Another car, other fuel or another day gives another"
    " figure."
)


def cautions(measured: Measured) -> tuple[str, ...]:
    """Return the cautions of a report, each a sentence or two."""
    return (
        THIS_CAR,
        *_doubted(measured),
        *_spread(measured),
        *_place(measured),
        *_correction(measured),
        *_conditions(measured),
        *_curves(measured),
        *_files(measured),
    )


def _doubted(measured: Measured) -> Iterator[str]:
    for doubt in measured.doubts:
        yield f"{doubt.message[0].upper()}{doubt.message[1:]}: {doubt.hint}."


def _spread(measured: Measured) -> Iterator[str]:
    few = {side: len(measured.different(side)) for side in SIDES}
    if min(few.values()) < 2:
        yield "With a single pull on a side nobody knows how far the pulls scatter: no interval."
    elif min(few.values()) < FEWEST_PULLS:
        counted = " and ".join(f"{number} {side}" for side, number in few.items())
        yield f"Fewer than {FEWEST_PULLS} pulls a side ({counted}): the interval itself is unsure."
    if min(few.values()) >= 2:
        yield (
            f"The intervals ({CONFIDENCE * 100:g} %, Welch) hold what the pulls of this visit"
            " differ among themselves, and nothing that was the same for all of them."
        )
        if any(gain.in_turns for gain in measured.gains):
            yield (
                "The pulls were made in turns: a straight drift over their times is taken out of"
                " every gain, and the interval holds what that costs."
            )
        yield (
            "The band along the curve holds at each speed by itself. Over many speeds some would"
            " seem to gain or lose by chance; “at all speeds at once” is widened for that"
            " (Bonferroni), and so is the largest gain, which was picked by looking."
        )
    for each in measured.pulls:
        if each.repeats:
            yield f"The pull {each.name} is a copy of {each.repeats} and is not counted."


def _place(measured: Measured) -> Iterator[str]:
    if measured.session.dyno.kind != "engine":
        yield (
            "Measured at the wheels: the driveline has taken its share. Kit makers often claim at"
            " the crank."
        )
    session = measured.session
    verified = session.dyno.last_verified
    if session.date and verified and (session.date - verified).days > VERIFIED_DAYS:
        yield f"The dyno was last verified on {verified.isoformat()}, more than a year before."


def _correction(measured: Measured) -> Iterator[str]:
    session = measured.session
    standard = next((p.correction.standard for p in measured.pulls if p.correction), None)
    if session.correction == NONE:
        yield "Not corrected for the air: the figures are as measured." + _air_alone(measured)
    if standard and session.engine.charging != "none":
        yield (
            f"The engine is charged. {standard.charged} Where the control makes up for thin air by"
            " itself, a correction credits it twice; measure both sides in like air, or write"
            " `none`."
        )
    outside = [p for p in measured.pulls if p.correction and p.correction.outside]
    if outside:
        told = "; ".join(
            f"{p.name}: {p.weather.temperature:.3g} °C, {p.weather.pressure:.0f} hPa"
            for p in outside
            if p.weather
        )
        reason = "; ".join(outside[0].correction.outside) if outside[0].correction else ""
        yield f"Outside the range of {session.correction}: {reason}. Air of the tests: {told}."


def _air_alone(measured: Measured) -> str:
    """How far apart the air of the two sides is, by the factor that was not applied."""
    effect = air_effect(measured.pulls)
    if effect is None:
        return " The air of the two sides is not known well enough to say what it did."
    text = f"{effect * 100:+.1f}".replace("-", "\u2212")
    return f" By ISO 1585 the air alone would make {text}\u00a0% between before and after."


def _conditions(measured: Measured) -> Iterator[str]:
    pulls = measured.pulls
    told: dict[str, str] = {}
    for each in pulls[1:]:
        for found in differences(pulls[0].conditions, each.conditions):
            if not found.grave:
                told.setdefault(found.name, f"{found.first or 'not given'}, {each.name}"
                                f" {found.other or 'not given'}")  # fmt: skip
    for name, text in told.items():
        yield f"Not the same for all pulls: {name} ({pulls[0].name} {text})."
    if measured.session.dyno.kind == "chassis" and not any(p.conditions.get(TYRES) for p in pulls):
        yield "The tyre pressure is not written down: on rollers it changes what is measured."


def _curves(measured: Measured) -> Iterator[str]:
    for gain in measured.gains:
        for side in SIDES:
            ends = [peak.at_end for peak in getattr(gain, side).peaks]
            if any(ends):
                yield (
                    f"The highest {gain.quantity} {side} stands at the end of a pull: the true"
                    " peak may lie beyond."
                )
        yield from _crossing(gain)


def _crossing(gain: Gain) -> Iterator[str]:
    crossed = gain.crossings
    lost = [
        (low, high)
        for low, high in gain.clear()
        if gain.along[gain.grid.index(low)].estimate < 0
    ]  # fmt: skip
    if lost:
        yield f"Less {gain.quantity} than before at {ranges(tuple(lost))}."
    if len(crossed) > LARGEST_CROSSINGS:
        yield f"The curves of {gain.quantity} cross {len(crossed)} times: they lie on each other."
    elif crossed:
        yield f"The curves of {gain.quantity} cross at {', '.join(map(rpm, crossed))}."


def _files(measured: Measured) -> Iterator[str]:
    if measured.session.smoothing:
        width = measured.session.smoothing.tidy
        yield f"Smoothed: every curve is a moving mean over {width} before anything is read off."
    left_out = [
        f"{p.name} ({p.pull.rolled_up} before, {p.pull.coasted} behind)"
        for p in measured.pulls
        if p.pull and (p.pull.rolled_up or p.pull.coasted)
    ]
    if left_out:
        yield f"Rows that are no part of the pull were left out: {', '.join(left_out)}."
