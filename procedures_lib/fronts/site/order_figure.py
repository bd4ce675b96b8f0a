"""The tightening order of a group of fasteners as a figure: drawn as SVG, and in words."""

from __future__ import annotations

import math
from html import escape
from itertools import pairwise

from procedures_lib.fronts.site.html import element
from procedures_lib.fronts.tables.words import (
    front_text,
    stage_major_text,
    stages_text,
    text_alternative,
)
from procedures_lib.language.entities.car import Fastener
from procedures_lib.view.joint import order_text
from procedures_lib.view.order_drawing import (
    Pattern,
    Sheet,
    name_places,
    patterns_of,
    runs_over,
    sheet_for,
)

WIDE = 600.0
"""From this width on, in drawing units, a drawing is scrolled rather than made small."""


def order_svg(pattern: Pattern) -> str:
    """Draw the pattern as a self-contained SVG element with a title and a description.

    Lines and figures take the colour of the text around them, so that the drawing works in dark
    mode and in black and white; dashed lines lead from each number to the next. Where there are
    many bolts the sheet grows, and names and lines are left out.
    """
    sheet = sheet_for(dict(pattern.positions))
    order = [name for name in pattern.order if name in sheet.points]
    alternative = escape(text_alternative(pattern))
    width, height = f"{sheet.width:g}", f"{sheet.height:g}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
        f' width="{width}" height="{height}" role="img" aria-label="{alternative}"'
        ' fill="none" stroke="currentColor" font-family="sans-serif" text-anchor="middle">',
        f"<desc>{alternative}</desc>",
        *([] if sheet.crowded else _path(sheet, order)),
        *_bolts(sheet, pattern),
        *_front(pattern.front, sheet.width, sheet.height),
        "</svg>",
    ]
    return "".join(parts)


def is_wide(pattern: Pattern) -> bool:
    """Whether a drawing is too wide for a page, and has to be scrolled to stay legible."""
    return sheet_for(dict(pattern.positions)).width > WIDE


def _path(sheet: Sheet, order: list[str]) -> list[str]:
    """Dashed lines from each bolt's edge to the next one's, so that no line crosses a number."""
    lines = []
    for here, there in pairwise(order):
        (x1, y1), (x2, y2) = sheet.points[here], sheet.points[there]
        length = math.hypot(x2 - x1, y2 - y1)
        if length <= 2 * sheet.radius or runs_over(sheet, here, there):
            continue
        dx, dy = (x2 - x1) * sheet.radius / length, (y2 - y1) * sheet.radius / length
        lines.append(
            f'<line x1="{x1 + dx:.1f}" y1="{y1 + dy:.1f}" x2="{x2 - dx:.1f}" y2="{y2 - dy:.1f}"'
            ' stroke-width="1" stroke-dasharray="3 4"/>'
        )
    return lines


def _bolts(sheet: Sheet, pattern: Pattern) -> list[str]:
    """A circle for each bolt, with its number in the order, or its numbers, and its name."""
    numbers: dict[str, list[str]] = {}
    for n, name in enumerate(pattern.order, start=1):
        numbers.setdefault(name, []).append(str(n))
    size, names = (9 if sheet.crowded else 15), name_places(sheet)
    parts = []
    for name, (x, y) in sheet.points.items():
        parts.append(
            f'<circle class="bolt" cx="{x:g}" cy="{y:g}" r="{sheet.radius:g}" stroke-width="2"/>'
        )
        if name in numbers:
            bold = f'font-size="{size}" font-weight="bold"'
            parts.append(_text((x, y + size / 3), bold, "/".join(numbers[name])))
        if name in names:
            parts.append(_text(names[name], 'font-size="10"', name))
    return parts


def _text(at: tuple[float, float], font: str, text: str) -> str:
    place = f'x="{at[0]:g}" y="{at[1]:g}"'
    return f'<text {place} {font} fill="currentColor" stroke="none">{escape(text)}</text>'


def _front(front: str, width: float, height: float) -> list[str]:
    """The mark for the front of the car: an arrow and the words, in the margin it points to."""
    if front not in {"up", "down", "left", "right"}:
        text = f"front of car: {front}" if front else "front of car: see text"
        return [_label(width / 2, 14, text)]
    x, y, turn, text_x = {
        "up": (width / 2 - 52, 4, 0, width / 2),
        "down": (width / 2 - 52, height - 4, 180, width / 2),
        "left": (6, 10, -90, 62),
        "right": (width - 6, 10, 90, width - 62),
    }[front]
    arrow = (
        f'<path d="M0 0 L6 12 L-6 12 Z" fill="currentColor" stroke="none"'
        f' transform="translate({x:g} {y:g}) rotate({turn})"/>'
    )
    return [arrow, _label(text_x, height - 6 if front == "down" else 14, "front of car")]


def _label(x: float, y: float, text: str) -> str:
    return _text((x, y), 'font-size="12"', text)


def order_figure(fastener: Fastener, name: str) -> tuple[str, str]:
    """Return the figures and their words; without positions the order is told in words only."""
    working, stages = stage_major_text(fastener), fastener.tighten
    if not fastener.positions:
        order = order_text(fastener)
        words = (f"{name}: {stages_text(stages)}.", f"Order: {order}." if order else "", working)
        told = " ".join(text for text in words if text)
        return element("p", escape(told)), told
    patterns = patterns_of(fastener, name)
    figures = "".join(
        _figure(pattern, stages_text(stages[n - 1] for n in numbers), working)
        for pattern, numbers in patterns
    )
    told = " ".join(text_alternative(pattern) for pattern, _ in patterns)
    return figures, f"{told} {working}".strip()


def _figure(pattern: Pattern, stages: str, working: str) -> str:
    said = f"{pattern.title}: {stages}. {working}".strip()
    caption = element("figcaption", escape(f"{said} {front_text(pattern.front)}"))
    svg = order_svg(pattern)
    if is_wide(pattern):
        svg = element("div", svg, class_="wide", tabindex="0")
    return element("figure", svg + caption, class_="order-drawing")
