"""The tightening order of a group of fasteners as a figure."""

from __future__ import annotations

from dataclasses import replace
from html import escape
from typing import TYPE_CHECKING

from procedures_lib.drawings.order import (
    Pattern,
    front_from_names,
    front_text,
    order_svg,
    text_alternative,
)
from procedures_lib.manual.names import name_of
from procedures_lib.site.html import element
from procedures_lib.tables.torque import order_of, order_text, stages_text

if TYPE_CHECKING:
    from procedures_lib.entities.car import Fastener
    from procedures_lib.manual import Scope


def pattern_of(fastener: Fastener, scope: Scope) -> Pattern:
    """Return what the drawing of a fastener group shows."""
    order = order_of(fastener)
    pattern = Pattern(name_of(fastener, scope), fastener.positions, order, fastener.front or "")
    return pattern if pattern.front else replace(pattern, front=front_from_names(pattern))


def order_figure(fastener: Fastener, scope: Scope) -> tuple[str, str]:
    """Return the figure and its words; without positions the order is told in words only."""
    words = f"{name_of(fastener, scope)}: {stages_text(fastener)}. Order: {order_text(fastener)}."
    if not fastener.positions:
        return element("p", escape(words)), words
    pattern = pattern_of(fastener, scope)
    caption = f"{pattern.title}: {stages_text(fastener)}. {front_text(pattern.front)}"
    figure = order_svg(pattern) + element("figcaption", escape(caption))
    return element("figure", figure, class_="order-drawing"), text_alternative(pattern)
