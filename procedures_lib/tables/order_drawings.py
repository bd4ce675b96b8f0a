"""What the drawings of a tightening order show: one drawing for each order that differs."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from procedures_lib.drawings.order import Pattern, front_from_names
from procedures_lib.manual.names import name_of
from procedures_lib.tables.orders import orders_by_stage
from procedures_lib.tables.torque import stages_text

if TYPE_CHECKING:
    from procedures_lib.entities.car import Fastener
    from procedures_lib.manual import Scope


def patterns_of(fastener: Fastener, scope: Scope) -> list[tuple[Pattern, str]]:
    """Return what the drawings of a group show, each with the words for its stages.

    There is one drawing where all stages go in one order; else one for each order.
    """
    name = name_of(fastener, scope)
    ordered = [(stages, order) for stages, order in orders_by_stage(fastener) if order]
    if len(ordered) < 2:
        order = ordered[0][1] if ordered else ()
        return [(_pattern(name, order, fastener), stages_text(fastener))]
    return [
        (_pattern(f"{name}, {_numbers(stages)}", order, fastener), _staged(stages, fastener))
        for stages, order in ordered
    ]


def _pattern(title: str, order: tuple[str, ...], fastener: Fastener) -> Pattern:
    pattern = Pattern(title, fastener.positions, order, fastener.front or "")
    return pattern if pattern.front else replace(pattern, front=front_from_names(pattern))


def _numbers(stages: tuple[int, ...]) -> str:
    """The stages in words: "stage 2", "stages 1 and 3"."""
    if len(stages) == 1:
        return f"stage {stages[0]}"
    return f"stages {', '.join(map(str, stages[:-1]))} and {stages[-1]}"


def _staged(stages: tuple[int, ...], fastener: Fastener) -> str:
    return ", then ".join(fastener.tighten[n - 1].shown() for n in stages)
