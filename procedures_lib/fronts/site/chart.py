"""Curves before and after over engine speed, each quantity on a scale of its own."""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape

_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale from ``low`` to ``high``, drawn from ``start`` to ``end``, with ticks."""

    low: float
    high: float
    start: float
    end: float
    ticks: tuple[float, ...]

    def place(self, value: float) -> float:
        """Return where a value lies on paper, to a tenth."""
        share = (value - self.low) / (self.high - self.low)
        return round(self.start + share * (self.end - self.start), 1)


def ticks_between(low: float, high: float, about: int) -> tuple[float, ...]:
    """Return round numbers, about so many, that lie between two values.

    They step by 1, 2, 2.5 or 5 times a power of ten.
    """
    rough = (high - low) / max(about, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(size * power for size in _STEPS if size * power >= rough * (1 - 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(n * step for n in range(first, last + 1))


def scale(low: float, high: float, start: float, end: float, about: int) -> Scale:
    """Return a scale that holds both values; a scale without length is given one."""
    if not high > low:
        low, high = low - 1, high + 1
    return Scale(low, high, start, end, ticks_between(low, high, about))


def rounded_up(value: float, about: int) -> float:
    """Return the next tick above a positive value, so that a curve ends below its frame."""
    ticks = ticks_between(0, value, about)
    step = ticks[1] - ticks[0] if len(ticks) > 1 else value
    return step * math.ceil(value / step + 1e-9)


def tick_text(value: float) -> str:
    """Return a tick as a reader wants it: no trailing zeros, a true minus."""
    return f"{round(value, 10):g}".replace("-", "\u2212")


_WIDTH = 340.0
_LEFT, _RIGHT = 40.0, 332.0
_HEAD = 48.0
_TALL = 150.0
_FOOT = 44.0
_TICKS = 5

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """One line: ``style`` is ``before``, ``after`` or ``gain``; ``points`` are rpm and values.

    ``band`` holds the low and high edge at each speed, () for none; ``peak`` is marked;
    ``told`` is the line of the legend.
    """

    style: str
    told: str
    points: Points
    band: tuple[tuple[float, float, float], ...] = ()
    peak: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Panel:
    """One quantity with its unit and curves; the scale begins at zero, or holds it."""

    title: str
    unit: str
    curves: tuple[Curve, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """Panels one below the other over one row of speeds in rpm."""

    title: str
    panels: tuple[Panel, ...]
    note: str = ""


def chart_words(chart: Chart) -> str:
    """Return the chart in words: each panel with the lines of its legend."""
    parts = [f"{chart.title}."]
    for panel in chart.panels:
        lines = "; ".join(curve.told for curve in panel.curves)
        parts.append(f"{panel.title} in {panel.unit} over engine speed: {lines}.")
    return " ".join([*parts, chart.note]).strip()


def chart_svg(chart: Chart) -> str:
    """Draw a chart as a self-contained SVG element with a title and a description.

    Lines take the colour of the text around them; classes let a theme give them others. Before is
    dashed and its peak a ring, after is drawn through and its peak a dot, so that no colour is
    needed to tell them apart.
    """
    speeds = [at for panel in chart.panels for curve in panel.curves for at, _ in curve.points]
    across = scale(min(speeds), max(speeds), _LEFT, _RIGHT, _TICKS)
    each = _HEAD + _TALL + _FOOT
    height = each * len(chart.panels)
    words = escape(chart_words(chart))
    drawn = [_panel(panel, across, n * each) for n, panel in enumerate(chart.panels)]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH:g} {height:g}"'
        f' width="{_WIDTH:g}" height="{height:g}" role="img" aria-label="{words}"'
        ' fill="none" stroke="currentColor" font-family="sans-serif" font-size="11">'
        f"<desc>{words}</desc>{''.join(drawn)}</svg>"
    )


def _panel(panel: Panel, across: Scale, top: float) -> str:
    upwards = _upwards(panel, top + _HEAD)
    legend = [_legend(curve, top + 27 + 14 * n) for n, curve in enumerate(panel.curves)]
    parts = [
        _text(0, top + 12, f"{panel.title}, {panel.unit}", "chart-title", bold=True),
        *legend,
        *_grid(upwards, across),
        *(_band(curve, across, upwards) for curve in panel.curves),
        *(_line(curve, across, upwards) for curve in panel.curves),
        *(_peak(curve, across, upwards) for curve in panel.curves),
        _text(_RIGHT, top + _HEAD + _TALL + 30, "engine speed, rpm", "chart-axis", "end"),
    ]
    return "".join(parts)


def _upwards(panel: Panel, top: float) -> Scale:
    """The scale of a quantity: from zero up, or down to the lowest value where one is below."""
    values = [value for curve in panel.curves for _, value in curve.points]
    values += [
        edge for curve in panel.curves for _, low, high in curve.band for edge in (low, high)
    ]
    values += [curve.peak[1] for curve in panel.curves if curve.peak]
    high = max(*values, 0.0)
    low = min(*values, 0.0)
    high = rounded_up(high, _TICKS) if high > 0 else 0.0
    low = -rounded_up(-low, _TICKS) if low < 0 else 0.0
    return scale(low, high, top + _TALL, top, _TICKS)


def _grid(upwards: Scale, across: Scale) -> list[str]:
    parts = []
    for tick in upwards.ticks:
        y = upwards.place(tick)
        style = "chart-zero" if tick == 0 else "chart-grid"
        faint = "" if tick == 0 else ' stroke-opacity="0.25"'
        parts.append(
            f'<line class="{style}" x1="{_LEFT:g}" y1="{y:g}" x2="{_RIGHT:g}" y2="{y:g}"{faint}/>'
        )
        parts.append(_text(_LEFT - 5, y + 4, tick_text(tick), "chart-axis", "end"))
    foot, head = upwards.start, upwards.end
    for tick in across.ticks:
        x = across.place(tick)
        parts.append(
            f'<line class="chart-grid" x1="{x:g}" y1="{head:g}" x2="{x:g}" y2="{foot:g}"'
            ' stroke-opacity="0.25"/>'
        )
        parts.append(_text(x, foot + 15, tick_text(tick), "chart-axis", "middle"))
    return parts


def _band(curve: Curve, across: Scale, upwards: Scale) -> str:
    if not curve.band:
        return ""
    there = [f"{across.place(x):g},{upwards.place(high):g}" for x, _, high in curve.band]
    back = [f"{across.place(x):g},{upwards.place(low):g}" for x, low, _ in reversed(curve.band)]
    return (
        f'<polygon class="chart-band chart-{curve.style}" points="{" ".join([*there, *back])}"'
        ' fill="currentColor" fill-opacity="0.18" stroke="none"/>'
    )


def _line(curve: Curve, across: Scale, upwards: Scale) -> str:
    points = " ".join(f"{across.place(x):g},{upwards.place(y):g}" for x, y in curve.points)
    return (
        f'<polyline class="chart-line chart-{curve.style}" points="{points}" stroke-width="2"'
        f' stroke-linejoin="round"{_dashes(curve)}/>'
    )


def _dashes(curve: Curve) -> str:
    return ' stroke-dasharray="6 4"' if curve.style == "before" else ""


def _peak(curve: Curve, across: Scale, upwards: Scale) -> str:
    if curve.peak is None:
        return ""
    return _mark(curve, across.place(curve.peak[0]), upwards.place(curve.peak[1]))


def _mark(curve: Curve, x: float, y: float) -> str:
    fill = "none" if curve.style == "before" else "currentColor"
    return (
        f'<circle class="chart-peak chart-{curve.style}" cx="{x:g}" cy="{y:g}" r="4.5"'
        f' fill="{fill}" stroke-width="2"/>'
    )


def _legend(curve: Curve, y: float) -> str:
    line = (
        f'<line class="chart-line chart-{curve.style}" x1="0" y1="{y - 4:g}" x2="28" y2="{y - 4:g}"'
        f' stroke-width="2"{_dashes(curve)}/>'
    )
    mark = _mark(curve, 14, y - 4) if curve.peak else ""
    return line + mark + _text(34, y, curve.told, "chart-legend")


def _text(
    x: float, y: float, text: str, style: str, anchor: str = "start", *, bold: bool = False
) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text class="{style}" x="{x:g}" y="{y:g}" text-anchor="{anchor}"{weight}'
        f' fill="currentColor" stroke="none">{escape(text)}</text>'
    )
