"""The tool list: sockets and reaches from the heads, wrenches from the stages, hand tools."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from procedures_lib.entities.car import Fastener
from procedures_lib.manual.names import name_of
from procedures_lib.tables.table import Column, Row, Table, cell, joined
from procedures_lib.tables.tooling import tools_for
from procedures_lib.tables.uses import made_once, step_links

if TYPE_CHECKING:
    from procedures_lib.manual import NumberedStep
    from procedures_lib.manual.shop import Shop
    from procedures_lib.tables.uses import Uses

_COLUMNS = (Column("tool", "Tool"), Column("use", "For"), Column("steps", "Steps"))
_TURNING = ("remove", "loosen", "start", "tighten", "fit")


@made_once
def tool_list(uses: Uses, shop: Shop) -> Table:
    """Return the tools of the steps that apply, each once, in the order of first use."""
    tools: dict[str, tuple[dict[str, None], list[NumberedStep]]] = {}
    known: dict[str, _Asked] = {}
    for step in uses.steps:
        for name in step.step.tools:
            tools.setdefault(name, ({}, []))[1].append(step)
        for action in step.step.actions:
            if action.verb not in _TURNING:
                continue
            for name in map(str, action.objects):
                if name not in known:
                    known[name] = _asked(name, uses, shop)
                for tool in known[name].of(action.verb):
                    named, steps = tools.setdefault(tool, ({}, []))
                    named[name] = None
                    steps.append(step)
    rows = tuple(_row(tool, named, steps, uses) for tool, (named, steps) in tools.items())
    return Table("tools", "Tool list", _COLUMNS, rows)


class _Asked(NamedTuple):
    """The tools that a fastener asks for; the first of them, socket and reach, whatever is done."""

    every: list[str]
    plain: int

    def of(self, verb: str) -> list[str]:
        return self.every if verb == "tighten" else self.every[: self.plain]


def _asked(name: str, uses: Uses, shop: Shop) -> _Asked:
    """The tools for a fastener on any of the cars asked about; none for any other thing."""
    fastener = uses.plan.scope.of(Fastener, name)
    if fastener is None or not uses.applies(fastener.when):
        return _Asked([], 0)
    return _Asked(tools_for(fastener, shop), bool(fastener.head) + bool(fastener.reach))


def _row(tool: str, named: dict[str, None], steps: list[NumberedStep], uses: Uses) -> Row:
    scope = uses.plan.scope
    fasteners = (scope.of(Fastener, name) for name in named)
    use = joined(
        cell(name_of(fastener, scope), f"fastener:{fastener.id}")
        for fastener in fasteners
        if fastener
    )
    return Row((cell(tool), use, step_links(steps)), f"tool:{tool}")
