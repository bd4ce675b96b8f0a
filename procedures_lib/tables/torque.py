"""The torque table: every joint that a procedure tightens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener
from procedures_lib.manual.names import name_of
from procedures_lib.tables.table import Cell, Column, Row, Table, cell
from procedures_lib.tables.tooling import tools_for
from procedures_lib.tables.uses import Uses, step_links
from procedures_lib.tightening.orders import order_by_pattern

if TYPE_CHECKING:
    from procedures_lib.manual.shop import Shop

TORQUE_UNITS = ("N·m", "lbf·ft", "lbf·in")

_COLUMNS = (
    Column("fastener", "Fastener"),
    Column("count", "Count"),
    Column("thread", "Thread"),
    Column("tool", "Tool"),
    *(Column(unit, unit) for unit in TORQUE_UNITS),
    Column("order", "Order"),
    Column("hardware", "Hardware"),
    Column("condition", "Threads are"),
    Column("recheck", "Re-check"),
    Column("source", "Source"),
    Column("steps", "Steps"),
)


def joints(uses: Uses) -> list[Fastener]:
    """The fastener groups that the steps tighten or start, in the order of their first step."""
    found = []
    for name in uses.by_object:
        fastener = uses.plan.scope.of(Fastener, name)
        if fastener is None or not uses.applies(fastener.when):
            continue
        if fastener.tighten and uses.of(name, "tighten", "start", "fit"):
            found.append(fastener)
    return found


def torque_table(uses: Uses, shop: Shop) -> Table:
    """Return the torque table of the steps that apply."""
    rows = tuple(_row(fastener, uses, shop) for fastener in joints(uses))
    return Table("torque", "Torque table", _COLUMNS, rows)


def stages_text(fastener: Fastener, unit: str = "") -> str:
    """All stages of a joint in one line: "10 N·m (89 lbf·in), then +45°"; in one unit if named."""
    stages = fastener.tighten
    return ", then ".join(stage.in_unit(unit) if unit else stage.shown() for stage in stages)


def order_of(fastener: Fastener) -> tuple[str, ...]:
    """The names of a joint's positions in tightening order; () when the page gives no order."""
    if fastener.pattern and fastener.positions:
        return order_by_pattern(dict(fastener.positions), fastener.pattern)
    return () if fastener.pattern else tuple(map(str, fastener.order))


def order_text(fastener: Fastener) -> str:
    """The order of a joint's fasteners in words, with the orders that single stages have."""
    names = ", ".join(order_of(fastener))
    words = [text for text in (fastener.pattern, names) if text]
    parts = [": ".join(words)] if words else []
    parts += [
        f"stage {n}: {', '.join(stage.order)}"
        for n, stage in enumerate(fastener.tighten, start=1)
        if stage.order
    ]
    return "; ".join(parts)


def hardware_text(fastener: Fastener, uses: Uses) -> str:
    """Whether the hardware is re-used, new from the kit, or new every time."""
    kit = uses.plan.kit
    if kit and any(item.fastener == fastener.id for item in kit.contents):
        return "new, from the kit" if fastener.reusable else "new, from the kit; single use"
    return "re-used" if fastener.reusable else "new every time"


def _row(fastener: Fastener, uses: Uses, shop: Shop) -> Row:
    name = name_of(fastener, uses.plan.scope)
    used = uses.of(fastener.id, "tighten", "start", "fit")
    cells: tuple[Cell, ...] = (
        cell(name, f"definition:{fastener.id}"),
        cell(f"{fastener.count} ×"),
        cell(_thread_text(fastener)),
        cell(", ".join(tools_for(fastener, shop))),
        *(cell(stages_text(fastener, unit)) for unit in TORQUE_UNITS),
        cell(order_text(fastener)),
        cell(hardware_text(fastener, uses)),
        cell(fastener.condition or ""),
        cell(f"after {fastener.recheck.canonical()}" if fastener.recheck else ""),
        cell(fastener.source),
        step_links(use.step for use in used),
    )
    return Row(cells, f"fastener:{fastener.id}", str(uses.condition(fastener.when, used)))


def _thread_text(fastener: Fastener) -> str:
    words = [fastener.thread.written] if fastener.thread else []
    if fastener.class_:
        words.append(fastener.class_)
    if fastener.turns == "left":
        words.append("left-hand thread")
    if fastener.at == "ride-height":
        words.append("at ride height")
    return ", ".join(words)
