"""The dyno report as HTML: the result, the chart, the figures, the pulls, the cautions."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from procedures_lib.engineering.dyno.gain import Gain, Side
from procedures_lib.fronts.site.chart import Chart, Curve, Panel, chart_svg, chart_words
from procedures_lib.fronts.site.html import (
    Anchors,
    Href,
    element,
    facts_html,
    fold_html,
    list_html,
    plain_table,
    table_html,
)
from procedures_lib.fronts.tables.gain_cautions import gained, level, rpm
from procedures_lib.fronts.tables.gain_report import GainReport
from procedures_lib.fronts.tables.table import Table
from procedures_lib.view.claims import factor_to

_SPREAD_NOTE = (
    "Shaded beside a curve: from the lowest to the highest of its pulls. Shaded beside the gain:"
    " its 95 % interval at each speed by itself."
)


def gain_report_html(report: GainReport, href: Href, anchors: Anchors) -> tuple[str, str]:
    """Return the report and its words."""
    parts = [element("p", escape(report.headline), class_="gain-headline")]
    if report.refused:
        parts.append(list_html(map(escape, report.refused), "gain-refused"))
    else:
        parts.append(_gain_figure(report))
        parts.append(table_html(report.gains.without_empty_columns(), href, anchors))
    if report.claims.rows:
        parts.append(table_html(report.claims, href, anchors, "What the maker claims"))
    parts.append(facts_html(report.facts))
    if not report.refused:
        parts.append(_fold("More figures", report.more, href, anchors))
    if report.pulls.rows:
        parts.append(_fold("Pulls and their air", report.pulls, href, anchors))
    if not report.refused:
        parts.append(element("p", "Read this with it", class_="list-title"))
        parts.append(list_html(map(escape, report.cautions), "gain-cautions"))
    return element("div", "".join(parts), class_="gain-report"), gain_words(report)


def _fold(title: str, table: Table, href: Href, anchors: Anchors) -> str:
    inner = table_html(table.without_empty_columns(), href, anchors)
    return fold_html(title, inner)


def gain_words(report: GainReport) -> str:
    """Return the report as lines of text, for outputs other than HTML."""
    lines = [report.headline, *report.refused]
    if not report.refused:
        lines += [
            chart_words(chart_of(report)),
            plain_table(report.gains),
            plain_table(report.more),
        ]
    lines += [f"{label}: {text}" for label, text in report.facts]
    return "\n".join([*lines, plain_table(report.pulls), *report.cautions])


def _gain_figure(report: GainReport) -> str:
    chart = chart_of(report)
    caption = element("figcaption", escape(chart.note))
    return element("figure", chart_svg(chart) + caption, class_="gain-chart")


def chart_of(report: GainReport) -> Chart:
    """Return what the chart of a report shows: power, torque, and the gain in power."""
    units = report.units
    panels = [_panel(gain, units) for gain in report.measured.gains]
    power = report.measured.gain("power")
    if power is not None:
        panels.append(_gain_panel(power, units))
    return Chart("Power and torque before and after", tuple(panels), _SPREAD_NOTE)


def _panel(gain: Gain, units: Mapping[str, str]) -> Panel:
    factor = factor_to(gain.quantity, units[gain.quantity])
    curves = tuple(
        Curve(
            style,
            f"{style}: {level(side.peak, gain.quantity, units)} at {rpm(side.peak_at)}",
            _points(gain.grid, side.mean, factor),
            _edges(gain.grid, side, factor),
            (min(max(side.peak_at, gain.grid[0]), gain.grid[-1]), side.peak * factor),
        )
        for style, side in (("before", gain.before), ("after", gain.after))
    )
    return Panel(gain.quantity.capitalize(), units[gain.quantity], curves)


def _points(
    grid: tuple[float, ...], values: tuple[float, ...], factor: float
) -> tuple[tuple[float, float], ...]:
    return tuple((at, value * factor) for at, value in zip(grid, values, strict=True))


def _edges(
    grid: tuple[float, ...], side: Side, factor: float
) -> tuple[tuple[float, float, float], ...]:
    if len(side.curves) < 2:
        return ()
    columns = zip(grid, zip(*side.curves, strict=True), strict=True)
    return tuple((at, min(values) * factor, max(values) * factor) for at, values in columns)


def _gain_panel(gain: Gain, units: Mapping[str, str]) -> Panel:
    unit = units[gain.quantity]
    factor = factor_to(gain.quantity, unit)
    known = all(each.is_known for each in gain.along)
    values = tuple(each.estimate for each in gain.along)
    band = tuple(
        (at, each.low * factor, each.high * factor)
        for at, each in zip(gain.grid, gain.along, strict=True)
    )
    words = f"peak against peak {gained(gain.at_peak, gain.quantity, units)}"
    curve = Curve("gain", words, _points(gain.grid, values, factor), band if known else ())
    return Panel(f"Gain in {gain.quantity}", unit, (curve,))
