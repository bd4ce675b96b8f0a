"""The tightening order of a group of fasteners as a figure: drawn as SVG, and in words."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

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
    Drawing,
    Label,
    Pattern,
    drawing_of,
    patterns_of,
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
    drawing = drawing_of(pattern)
    alternative = escape(text_alternative(pattern))
    width, height = f"{drawing.sheet.width:g}", f"{drawing.sheet.height:g}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
        f' width="{width}" height="{height}" role="img" aria-label="{alternative}"'
        ' fill="none" stroke="currentColor" font-family="sans-serif" text-anchor="middle">',
        f"<desc>{alternative}</desc>",
        *_marks(drawing),
        "</svg>",
    ]
    return "".join(parts)


def _marks(drawing: Drawing) -> Iterator[str]:
    """The lines, the bolts with their labels, and the front of the car."""
    for (x1, y1), (x2, y2) in drawing.lines:
        yield (
            f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
            ' stroke-width="1" stroke-dasharray="3 4"/>'
        )
    for (x, y), labels in drawing.bolts:
        radius = f"{drawing.sheet.radius:g}"
        yield f'<circle class="bolt" cx="{x:g}" cy="{y:g}" r="{radius}" stroke-width="2"/>'
        yield from map(_text, labels)
    if drawing.arrow:
        (x, y), turn = drawing.arrow
        yield (
            '<path d="M0 0 L6 12 L-6 12 Z" fill="currentColor" stroke="none"'
            f' transform="translate({x:g} {y:g}) rotate({turn})"/>'
        )
    yield _text(drawing.front)


def _text(label: Label) -> str:
    (x, y), bold = label.at, ' font-weight="bold"' if label.bold else ""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{label.size}"{bold} fill="currentColor"'
        f' stroke="none">{escape(label.text)}</text>'
    )


def is_wide(pattern: Pattern) -> bool:
    """Whether a drawing is too wide for a page, and has to be scrolled to stay legible."""
    return sheet_for(dict(pattern.positions)).width > WIDE


def order_figure(fastener: Fastener, name: str) -> tuple[str, str]:
    """Return the figures and their words; without positions the order is told in words only."""
    if fastener.varies:
        return _by_car(fastener, name)
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


def _by_car(fastener: Fastener, name: str) -> tuple[str, str]:
    """The figures for each condition of a group's stages."""
    figures, told = [], []
    for each, (when, _) in zip(fastener.variants, fastener.how_tight.by_condition, strict=True):
        figure, words = order_figure(each, f"{name} (only {when})")
        figures.append(element("div", figure, data_when=str(when)))
        told.append(words)
    return "".join(figures), " ".join(told)


def _figure(pattern: Pattern, stages: str, working: str) -> str:
    said = f"{pattern.title}: {stages}. {working}".strip()
    caption = element("figcaption", escape(f"{said} {front_text(pattern.front)}"))
    svg = order_svg(pattern)
    if is_wide(pattern):
        svg = element("div", svg, class_="wide", tabindex="0")
    return element("figure", svg + _names(pattern) + caption, class_="order-drawing")


def _names(pattern: Pattern) -> str:
    """The names in order, where the drawing has no room for them."""
    if drawing_of(pattern).named or not pattern.order:
        return ""
    listed = "".join(element("li", escape(name)) for name in pattern.order)
    return element("ol", listed, class_="order-names")
