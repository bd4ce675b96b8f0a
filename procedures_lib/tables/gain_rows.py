"""The rows of a dyno report: the gain in figures, the pulls with their air, the claims."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.dyno.verdicts import claims_of
from procedures_lib.tables.gain_units import area, gained, gained_beside, level, ranges, rpm, share
from procedures_lib.tables.table import Column, Row, Table, cell

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from procedures_lib.dyno.gain import Gain
    from procedures_lib.dyno.measured import Measured, MeasuredPull
    from procedures_lib.dyno.spread import Interval
    from procedures_lib.manual import Manual

_GAIN_COLUMNS = (
    Column("what", "What"), Column("before", "Before"), Column("after", "After"),
    Column("gain", "Gain"), Column("also", "The same"), Column("share", "In per cent"),
    Column("told", "Against the spread"),
)  # fmt: skip
_PULL_COLUMNS = (
    Column("pull", "Pull"), Column("file", "File"), Column("temperature", "Air"),
    Column("pressure", "Pressure"), Column("humidity", "Humidity"), Column("factor", "Factor"),
    Column("power", "Peak power"), Column("torque", "Peak torque"), Column("note", "Note"),
)  # fmt: skip
_CLAIM_COLUMNS = (
    Column("claim", "The maker claims"), Column("measured", "Measured"),
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
        humidity = "" if air is None or air.humidity is None else f"{air.humidity:g} %"
        factor = each.correction.factor if each.correction and each.correction.standard else None
        texts = (
            each.name,
            each.entry.pull,
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
    return f"a copy of {pull.repeats}" if pull.repeats else pull.entry.note


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
            claim.verdict.word,
            claim.verdict.why,
        )
        yield Row(tuple(map(cell, texts)))
