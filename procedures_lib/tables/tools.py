"""The tool list: sockets and reaches from the heads, wrenches from the stages, hand tools."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener
from procedures_lib.manual.names import name_of
from procedures_lib.tables.table import Column, Row, Table, cell, joined
from procedures_lib.tables.tooling import tools_for
from procedures_lib.tables.uses import step_links

if TYPE_CHECKING:
    from procedures_lib.manual import NumberedStep
    from procedures_lib.manual.shop import Shop
    from procedures_lib.tables.uses import Uses

_COLUMNS = (Column("tool", "Tool"), Column("use", "For"), Column("steps", "Steps"))
_TURNING = ("remove", "loosen", "start", "tighten", "fit")


def tool_list(uses: Uses, shop: Shop) -> Table:
    """Return the tools of the steps that apply, each once, in the order of first use."""
    tools: dict[str, tuple[dict[str, None], list[NumberedStep]]] = {}
    for step in uses.steps:
        for name in step.step.tools:
            tools.setdefault(name, ({}, []))[1].append(step)
        for action in step.step.actions:
            for name in action.objects:
                fastener = uses.plan.scope.of(Fastener, str(name))
                if (
                    fastener is None
                    or action.verb not in _TURNING
                    or not uses.applies(fastener.when)
                ):
                    continue
                for tool in _tools(fastener, str(action.verb), shop):
                    named, steps = tools.setdefault(tool, ({}, []))
                    named[fastener.id] = None
                    steps.append(step)
    rows = tuple(_row(tool, named, steps, uses) for tool, (named, steps) in tools.items())
    return Table("tools", "Tool list", _COLUMNS, rows)


def _tools(fastener: Fastener, verb: str, shop: Shop) -> list[str]:
    """All its tools for tightening; only socket and reach for anything else."""
    every = tools_for(fastener, shop)
    if verb == "tighten":
        return every
    plain = (1 if fastener.head else 0) + (1 if fastener.reach else 0)
    return every[:plain]


def _row(tool: str, named: dict[str, None], steps: list[NumberedStep], uses: Uses) -> Row:
    scope = uses.plan.scope
    fasteners = (scope.of(Fastener, name) for name in named)
    use = joined(
        cell(name_of(fastener, scope), f"fastener:{fastener.id}")
        for fastener in fasteners
        if fastener
    )
    return Row((cell(tool), use, step_links(steps)), f"tool:{tool}")
