"""A dyno report as a value for JSON, and its curves as a table for CSV."""

from __future__ import annotations

from typing import Any

from procedures_lib.engineering.dyno.gain import Gain
from procedures_lib.engineering.dyno.gain_interval import Interval
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.tables.gain_report import GainReport
from procedures_lib.fronts.tables.table import Column, Row, Table, cell
from procedures_lib.manual import Manual
from procedures_lib.view.claims import claims_of, factor_to
from procedures_lib.view.dyno_pulls import MeasuredPull

FORMAT = 1


def gain_json(report: GainReport, manual: Manual) -> dict[str, Any]:
    """Return a report as ``{format, session, gains, pulls, claims, doubts, cautions, refused}``.

    Powers are in kW, torques in N·m, speeds in rpm, not rounded; an interval is
    ``{estimate, low, high, df}``, its ends None where the spread is not known.
    """
    session = report.measured.session
    return {
        "format": FORMAT,
        "session": session.id,
        "vehicle": str(session.vehicle),
        "procedure": str(session.procedure or ""),
        "correction": session.correction,
        "headline": spaced(report.headline),
        "refused": [spaced(text) for text in report.refused],
        "gains": [_gain(gain) for gain in report.measured.gains],
        "pulls": [_pull(pull) for pull in report.measured.pulls],
        "claims": [
            {
                "quantity": claim.verdict.quantity,
                "claimed": claim.verdict.claimed,
                "unit": claim.unit,
                "measured": interval_value(claim.verdict.measured),
                "over_band": interval_value(claim.verdict.over_band),
                "verdict": claim.verdict.word,
                "why": claim.verdict.why,
            }
            for claim in claims_of(manual, report.measured)
        ],
        "doubts": [
            {"check": doubt.check, "pull": doubt.pull, "message": doubt.message}
            for doubt in report.measured.doubts
        ],
        "cautions": [spaced(text) for text in report.cautions],
    }


def interval_value(interval: Interval) -> dict[str, float | None]:
    """Return an interval with None for what is not known; ``df`` is None where it is exact."""
    known = interval.is_known
    df = interval.df if known and interval.half else None
    return {
        "estimate": interval.estimate,
        "low": interval.low if known else None,
        "high": interval.high if known else None,
        "df": df,
    }


def _gain(gain: Gain) -> dict[str, Any]:
    return {
        "quantity": gain.quantity,
        "unit": {"power": "kW", "torque": "N·m"}[gain.quantity],
        "peak_before": {"value": gain.before.peak, "rpm": gain.before.peak_at},
        "peak_after": {"value": gain.after.peak, "rpm": gain.after.peak_at},
        "at_peak": interval_value(gain.at_peak),
        "band_rpm": list(gain.band),
        "over_band": interval_value(gain.over_band),
        "area": gain.area,
        "largest": {"rpm": gain.largest, "gain": interval_value(gain.largest_gain)},
        "drift_taken_out": gain.in_turns,
        "repeatability_limit": gain.limit,
        "clear_rpm": [list(ends) for ends in gain.clear()],
        "clear_together_rpm": [list(ends) for ends in gain.clear(together=True)],
        "crossings_rpm": list(gain.crossings),
        "curve": {
            "rpm": list(gain.grid),
            "before": list(gain.before.mean),
            "after": list(gain.after.mean),
            "gain": [interval_value(each) for each in gain.along],
        },
    }


def _pull(pull: MeasuredPull) -> dict[str, Any]:
    air = pull.weather
    return {
        "pull": pull.name,
        "file": pull.entry.pull,
        "time": str(pull.entry.time) if pull.entry.time else None,
        "temperature_C": air.temperature if air else None,
        "pressure_hPa": air.pressure if air else None,
        "humidity_percent": air.humidity if air else None,
        "factor": pull.correction.factor if pull.correction else None,
        "outside": list(pull.correction.outside) if pull.correction else [],
        "rows_before": pull.pull.rolled_up if pull.pull else None,
        "rows_behind": pull.pull.coasted if pull.pull else None,
        "rows_leaping_rpm": [leap.at for leap in pull.leaps],
        "copy_of": pull.repeats,
    }


def curves_table(report: GainReport) -> Table:
    """Return the mean curves and the gain over the grid, in the units of the report."""
    columns = [Column("speed [rpm]", "Speed")]
    series: list[list[float | None]] = []
    for gain in report.measured.gains:
        unit = report.units[gain.quantity]
        factor = factor_to(gain.quantity, unit)
        for name in ("before", "after", "gain", "gain low", "gain high"):
            key = f"{gain.quantity} {name} [{unit}]"
            columns.append(Column(key, key))
        series += _series(gain, factor)
    grid = report.measured.gains[0].grid if report.measured.gains else ()
    rows = tuple(
        Row((cell(f"{at:g}"), *(cell(_text(column[n])) for column in series)))
        for n, at in enumerate(grid)
    )
    return Table("curves", "Curves", tuple(columns), rows)


def _series(gain: Gain, factor: float) -> list[list[float | None]]:
    known = [each.is_known for each in gain.along]
    lows = [each.low * factor if k else None for each, k in zip(gain.along, known, strict=True)]
    highs = [each.high * factor if k else None for each, k in zip(gain.along, known, strict=True)]
    return [
        [value * factor for value in gain.before.mean],
        [value * factor for value in gain.after.mean],
        [each.estimate * factor for each in gain.along],
        lows,
        highs,
    ]


def _text(value: float | None) -> str:
    return "" if value is None else f"{value:.3f}"
