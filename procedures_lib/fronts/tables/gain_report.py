"""The dyno report: the gain in figures, the pulls with their air, claims, cautions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from procedures_lib.engineering.dyno.gain import Gain
from procedures_lib.engineering.dyno.gain_interval import Interval
from procedures_lib.findings import Level
from procedures_lib.fronts.tables.gain_cautions import (
    area,
    cautions,
    gained,
    gained_beside,
    level,
    ranges,
    rpm,
    share,
    units_of,
)
from procedures_lib.fronts.tables.table import Column, Row, Table, cell
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.kit import Kit
from procedures_lib.manual import Manual
from procedures_lib.view.claims import claims_of, kit_of
from procedures_lib.view.dyno_pulls import MeasuredPull
from procedures_lib.view.dyno_result import Measured, measure, sessions_of

_GAIN_COLUMNS = (
    Column("what", "What"), Column("before", "Before"), Column("after", "After"),
    Column("gain", "Gain"), Column("also", "The same"), Column("share", "In per cent"),
    Column("told", "Against the spread"),
)  # fmt: skip
_PULL_COLUMNS = (
    Column("pull", "Pull"), Column("file", "File"), Column("time", "Time"),
    Column("temperature", "Air"),
    Column("pressure", "Pressure"), Column("humidity", "Humidity"), Column("factor", "Factor"),
    Column("power", "Peak power"), Column("torque", "Peak torque"), Column("note", "Note"),
)  # fmt: skip
_CLAIM_COLUMNS = (
    Column("claim", "The maker claims"), Column("measured", "Measured"),
    Column("band", "Over the band"),
    Column("verdict", "Verdict"), Column("why", "Because"),
)  # fmt: skip


def gain_table(measured: Measured, units: Mapping[str, str]) -> Table:
    """Return the gain in figures: peaks, and means over the band."""
    rows = (row for gain in measured.gains for row in _rows_of(gain, units))
    return Table("gain", "Gain", _GAIN_COLUMNS, tuple(rows))


def more_table(measured: Measured, units: Mapping[str, str]) -> Table:
    """Return the rest: the largest gain, single samples, where it is a gain, repeatability."""
    rows = (row for gain in measured.gains for row in _more_rows(gain, units))
    return Table("more", "More figures", _GAIN_COLUMNS, tuple(rows))


def pulls_table(measured: Measured, units: Mapping[str, str]) -> Table:
    """Return the pulls: each with its file, its air, the factor, and its own peaks."""
    return Table("pulls", "Pulls", _PULL_COLUMNS, tuple(_pull_rows(measured, units)))


def claims_table(manual: Manual, measured: Measured) -> Table:
    """Return what the kit's maker claims beside what was measured."""
    return Table("claims", "Claims", _CLAIM_COLUMNS, tuple(_claim_rows(manual, measured)))


def _rows_of(gain: Gain, units: Mapping[str, str]) -> Iterator[Row]:
    what, old, new = gain.quantity, gain.before, gain.after
    yield _compared(
        f"Peak {what}",
        f"{level(old.peak, what, units)} at {rpm(old.peak_at)}",
        f"{level(new.peak, what, units)} at {rpm(new.peak_at)}",
        (gain.at_peak, old.peak, what),
        units,
    )
    yield _compared(
        f"Mean {what}, {gain.band[0]:g}–{gain.band[1]:g}\u00a0rpm",
        level(gain.mean_before, what, units),
        level(gain.mean_before + gain.over_band.estimate, what, units),
        (gain.over_band, gain.mean_before, what),
        units,
    )


def _more_rows(gain: Gain, units: Mapping[str, str]) -> Iterator[Row]:
    what, old, new = gain.quantity, gain.before, gain.after
    at = gain.grid.index(gain.largest)
    yield _compared(
        f"Largest gain in {what}, at {rpm(gain.largest)}",
        level(old.mean[at], what, units),
        level(new.mean[at], what, units),
        (gain.largest_gain, old.mean[at], what),
        units,
    )
    yield _row(
        f"Area between the curves of {what}, {gain.band[0]:g}–{gain.band[1]:g}\u00a0rpm",
        gain=area(gain.area, what, units),
    )
    samples = [max(side.peaks, key=lambda peak: peak.raw_value) for side in (old, new)]
    texts = [f"{level(p.raw_value, what, units)} at {rpm(p.raw_at)}" for p in samples]
    yield _row(f"Highest single sample of {what}", *texts)
    yield from _clear_rows(gain, units)


def _compared(
    name: str,
    before: str,
    after: str,
    found: tuple[Interval, float, str],
    units: Mapping[str, str],
) -> Row:
    """A row about a gain: its interval, what it is a share of, and its quantity."""
    interval, base, what = found
    return _row(name, before, after, gained(interval, what, units),
                gained_beside(interval, what, units), share(interval, base),
                told(interval))  # fmt: skip


def _clear_rows(gain: Gain, units: Mapping[str, str]) -> Iterator[Row]:
    what = gain.quantity
    if gain.limit is None:
        return
    yield _row(
        f"Where {what} differs by more than the spread",
        told=f"at each speed by itself: {ranges(gain.clear()) or 'nowhere'}; at all speeds at"
        f" once: {ranges(gain.clear(together=True)) or 'nowhere'}",
    )
    yield _row(
        f"Repeatability limit r of peak {what}",
        told=f"{level(gain.limit, what, units)}: two single pulls differ by more in one case of"
        " twenty (ISO 5725-6)",
    )


def _row(
    name: str,
    before: str = "",
    after: str = "",
    gain: str = "",
    also: str = "",
    percent: str = "",
    told: str = "",
) -> Row:
    return Row(tuple(map(cell, (name, before, after, gain, also, percent, told))))


def told(interval: Interval) -> str:
    """Return what an interval says of a gain."""
    if not interval.is_known:
        return "not known"
    if interval.within_noise:
        return "within the spread"
    return "more than the spread" if interval.estimate > 0 else "a loss, more than the spread"


def _pull_rows(measured: Measured, units: Mapping[str, str]) -> Iterator[Row]:
    peaks = {gain.quantity: _peaks_by_pull(measured, gain, units) for gain in measured.gains}
    for each in measured.pulls:
        air = each.weather
        humidity = "" if air is None or air.humidity is None else f"{air.humidity:.3g} %"
        factor = each.correction.factor if each.correction and each.correction.standard else None
        texts = (
            each.name,
            each.entry.pull,
            str(each.entry.time or ""),
            f"{air.temperature:.3g} °C" if air else "",
            f"{air.pressure:.1f} hPa" if air else "",
            humidity,
            f"{factor:.4f}" if factor else "",
            peaks.get("power", {}).get(each.name, ""),
            peaks.get("torque", {}).get(each.name, ""),
            _note(each),
        )
        yield Row(tuple(map(cell, texts)))


def _note(pull: MeasuredPull) -> str:
    told = [f"a copy of {pull.repeats}" if pull.repeats else pull.entry.note]
    told += [f"left out: the row at {leap.at:.0f} rpm" for leap in pull.leaps[:3]]
    told += [f"and {len(pull.leaps) - 3} more rows"] if len(pull.leaps) > 3 else []
    return "; ".join(text for text in told if text)


def _peaks_by_pull(measured: Measured, gain: Gain, units: Mapping[str, str]) -> dict[str, str]:
    found = {}
    for side in ("before", "after"):
        peaks = getattr(gain, side).peaks
        for pull, peak in zip(measured.different(side), peaks, strict=True):
            text = f"{level(peak.value, gain.quantity, units)} at {rpm(peak.at)}"
            found[pull.name] = text
    return found


def _claim_rows(manual: Manual, measured: Measured) -> Iterator[Row]:
    for claim in claims_of(manual, measured):
        texts = (
            f"{claim.written} {claim.verdict.quantity}",
            claim.measured_text,
            claim.band_text,
            claim.verdict.word,
            claim.verdict.why,
        )
        yield Row(tuple(map(cell, texts)))


@dataclass(frozen=True, slots=True)
class GainReport:
    """A session as it is published. ``refused`` says why there is no gain, () where there is one.

    ``units`` maps power and torque to their units.
    """

    measured: Measured
    units: Mapping[str, str]
    headline: str
    facts: tuple[tuple[str, str], ...]
    gains: Table
    more: Table
    pulls: Table
    claims: Table
    cautions: tuple[str, ...]
    refused: tuple[str, ...] = ()


def gain_report(manual: Manual, session: DynoSession) -> GainReport:
    """Return the report of a session."""
    measured = measure(manual, session)
    units = units_of(manual, measured)
    return GainReport(
        measured,
        units,
        headline(measured, units),
        tuple(_facts(measured, kit_of(manual, session))),
        gain_table(measured, units),
        more_table(measured, units),
        pulls_table(measured, units),
        claims_table(manual, measured),
        cautions(measured),
        refused(measured),
    )


def refused(measured: Measured) -> tuple[str, ...]:
    """Return why a session gives no gain, each reason a sentence; () when it gives one."""
    if measured.gains:
        return ()
    if not measured.whole:
        return ("the session could not be read whole: what the checks find comes first",)
    found = [f.message for f in measured.findings if f.level is Level.ERROR]
    if not measured.readable:
        found.append("the files of the pulls are not at hand")
    return tuple(found) or ("there are no pulls on one of the sides",)


def headline(measured: Measured, units: Mapping[str, str]) -> str:
    """Return the result in a sentence; what speaks against it comes first."""
    if not measured.gains:
        return "No gain is given: these pulls can't be compared."
    parts = [f"{g.quantity} {gained(g.at_peak, g.quantity, units)}" for g in measured.gains]
    told = " and ".join(parts)
    if all(gain.within_noise for gain in measured.gains):
        said = f"No gain could be told from the spread of the pulls ({told})."
    else:
        said = f"{told[0].upper()}{told[1:]}, peak against peak{_unlike(measured, units)}."
    doubted = "; ".join(doubt.short for doubt in measured.doubts)
    return f"Not to be relied on: {doubted}. {said}" if doubted else said


def _unlike(measured: Measured, units: Mapping[str, str]) -> str:
    """What the means over the band say where they don't say what the peaks say."""
    told = [
        f"{gain.quantity} {gained(gain.over_band, gain.quantity, units)}"
        for gain in measured.gains
        if _direction(gain.at_peak) != _direction(gain.over_band)
    ]
    return f"; over the band, {' and '.join(told)}" if told else ""


def _direction(interval: Interval) -> int:
    """1 for a gain, -1 for a loss, 0 for neither."""
    if not interval.is_known or interval.within_noise:
        return 0
    return 1 if interval.estimate > 0 else -1


def gain_lines(manual: Manual, procedure: str) -> tuple[tuple[str, str], ...]:
    """Return what the handover sheet of a procedure says of its dyno sessions."""
    return tuple(
        ("Measured gain", _handover_text(manual, session))
        for session in sessions_of(manual, procedure)
    )


def _handover_text(manual: Manual, session: DynoSession) -> str:
    measured = measure(manual, session)
    said = headline(measured, units_of(manual, measured))
    if not measured.gains:
        return said
    day = f" on {session.date.isoformat()}" if session.date else ""
    counts = f"{len(measured.different('before'))} pulls before,"
    counts += f" {len(measured.different('after'))} after"
    correction = "not corrected" if session.correction == "none" else session.correction
    sure = "" if measured.gains[0].limit is None else " ± is a 95\u00a0% interval from these pulls."
    vehicle = manual.head(Vehicle, str(session.vehicle))
    whose = (
        f" Measured on one {vehicle.name if vehicle else session.vehicle}{day}: not on your car."
    )
    return f"{said} {counts}; {correction}, {_where(session)}.{sure}{whose}"


def _where(session: DynoSession) -> str:
    places = {"chassis": "at the wheels", "hub": "at the hubs", "engine": "at the crank"}
    return places[session.dyno.kind]


def _facts(measured: Measured, kit: Kit | None) -> Iterator[tuple[str, str]]:
    session = measured.session
    if kit:
        yield "Fitted", f"{kit.name} ({kit.id.upper()})"
    if session.date:
        yield "Date", session.date.isoformat()
    dyno = [session.dyno.name, session.dyno.kind, session.dyno.rollers and
            f"{session.dyno.rollers} rollers"]  # fmt: skip
    yield "Dyno", ", ".join(text for text in dyno if text)
    if session.dyno.last_verified:
        yield "Verified", session.dyno.last_verified.isoformat()
    standard = next((p.correction.standard for p in measured.pulls if p.correction), None)
    if standard is None:
        yield "Correction", session.correction
    else:
        yield "Correction", f"{standard.called}: to {standard.reference}"
        yield "Holds for", standard.range_text
    for name, text in session.conditions:
        yield name.replace("-", " ").capitalize(), text
    if measured.gains:
        grid = measured.gains[0].grid
        yield "Compared", f"{grid[0]:g}–{grid[-1]:g} rpm, which all pulls reach"
