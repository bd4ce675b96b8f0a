"""The tightening orders of a joint: the group's, and those that single stages have."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import ORDER_PATTERNS
from procedures_lib.tightening.orders import order_by_pattern

if TYPE_CHECKING:
    from procedures_lib.entities.car import Fastener
    from procedures_lib.tightening import Stage


def order_of(fastener: Fastener) -> tuple[str, ...]:
    """The names of a joint's positions in tightening order; () when the page gives no order."""
    return _names(fastener, tuple(map(str, fastener.order)))


def order_of_stage(fastener: Fastener, stage: Stage) -> tuple[str, ...]:
    """The names in the order of one stage: its own, else the group's."""
    return _names(fastener, stage.order) if stage.order else order_of(fastener)


def orders_by_stage(fastener: Fastener) -> list[tuple[tuple[int, ...], tuple[str, ...]]]:
    """Return each order that differs, with the numbers of the stages that follow it.

    A joint without stages has its group's order, for no stage.
    """
    found: dict[tuple[str, ...], list[int]] = {}
    for n, stage in enumerate(fastener.tighten, start=1):
        found.setdefault(order_of_stage(fastener, stage), []).append(n)
    if not found:
        return [((), order_of(fastener))]
    return [(tuple(numbers), order) for order, numbers in found.items()]


def order_text(fastener: Fastener) -> str:
    """The order of a joint's fasteners in words, with the orders that single stages have."""
    parts = [_said(fastener, tuple(map(str, fastener.order)))] if fastener.order else []
    parts += [
        f"stage {n}: {_said(fastener, stage.order)}"
        for n, stage in enumerate(fastener.tighten, start=1)
        if stage.order
    ]
    return "; ".join(parts)


def stage_major_text(fastener: Fastener) -> str:
    """How a group is taken through its stages: "Every bolt through stage 1 before stage 2."

    "" for a single fastener, or a single stage.
    """
    stages = len(fastener.tighten)
    if fastener.count < 2 or stages < 2:
        return ""
    more = ", and so on" if stages > 2 else ""
    return f"Every {fastener.kind} through stage 1 before stage 2{more}."


def _said(fastener: Fastener, order: tuple[str, ...]) -> str:
    """An order as names, after its pattern word if it is given by one."""
    word = order[0] if len(order) == 1 and order[0] in ORDER_PATTERNS else ""
    names = ", ".join(_names(fastener, order))
    return ": ".join(text for text in (word, names) if text)


def _names(fastener: Fastener, order: tuple[str, ...]) -> tuple[str, ...]:
    if len(order) == 1 and order[0] in ORDER_PATTERNS:
        positions = dict(fastener.positions)
        return order_by_pattern(positions, order[0]) if positions else ()
    return order
