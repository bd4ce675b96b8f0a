"""The tightening order of a group of fasteners as a figure, one for each order that differs."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from procedures_lib.drawings.order import (
    front_text,
    is_wide,
    order_svg,
    text_alternative,
)
from procedures_lib.manual.names import name_of
from procedures_lib.site.html import element
from procedures_lib.tables.order_drawings import patterns_of
from procedures_lib.tables.orders import order_text, stage_major_text
from procedures_lib.tables.torque import stages_text

if TYPE_CHECKING:
    from procedures_lib.drawings.order import Pattern
    from procedures_lib.entities.car import Fastener
    from procedures_lib.manual import Scope


def order_figure(fastener: Fastener, scope: Scope) -> tuple[str, str]:
    """Return the figures and their words; without positions the order is told in words only."""
    working = stage_major_text(fastener)
    if not fastener.positions:
        words = [f"{name_of(fastener, scope)}: {stages_text(fastener)}."]
        words += [f"Order: {text}." for text in [order_text(fastener)] if text]
        told = " ".join([*words, working] if working else words)
        return element("p", escape(told)), told
    patterns = patterns_of(fastener, scope)
    figures = "".join(_figure(pattern, stages, working) for pattern, stages in patterns)
    told = " ".join(text_alternative(pattern) for pattern, _ in patterns)
    return figures, f"{told} {working}".strip()


def _figure(pattern: Pattern, stages: str, working: str) -> str:
    said = f"{pattern.title}: {stages}. {working}".strip()
    caption = element("figcaption", escape(f"{said} {front_text(pattern.front)}"))
    svg = order_svg(pattern)
    if is_wide(pattern):
        svg = element("div", svg, class_="wide", tabindex="0")
    return element("figure", svg + caption, class_="order-drawing")
