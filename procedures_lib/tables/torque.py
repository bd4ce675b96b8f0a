"""The torque table: every joint that a procedure tightens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener
from procedures_lib.manual.names import name_of
from procedures_lib.tables.orders import order_text
from procedures_lib.tables.table import Cell, Column, Row, Run, Table, cell
from procedures_lib.tables.tooling import tool_text
from procedures_lib.tables.uses import Uses, made_once, step_links

if TYPE_CHECKING:
    from collections.abc import Iterable

    from procedures_lib.manual.shop import Shop
    from procedures_lib.tightening import Stage

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


@made_once
def torque_table(uses: Uses, shop: Shop) -> Table:
    """Return the torque table of the steps that apply."""
    rows = tuple(_row(fastener, uses, shop) for fastener in joints(uses))
    return Table("torque", "Torque table", _COLUMNS, rows)


def stages_text(fastener: Fastener, unit: str = "") -> str:
    """All stages of a joint in one line: "10 N·m (89 lbf·in), then +45°"; in one unit if named."""
    stages = fastener.tighten
    return ", then ".join(stage.in_unit(unit) if unit else stage.shown() for stage in stages)


def stages_led(stages: Iterable[Stage]) -> tuple[tuple[str, str], ...]:
    """Each unit besides N·m with the text of the stages that it leads: "89 lbf·in (10 N·m)".

    () when no stage has a torque.
    """
    listed = list(stages)
    if not any(stage.torque for stage in listed):
        return ()
    return tuple((u, ", then ".join(s.led_by(u) for s in listed)) for u in TORQUE_UNITS[1:])


def stages_cell(fastener: Fastener) -> Cell:
    """A cell with all stages of a joint, in N·m with the customary unit."""
    text = stages_text(fastener)
    return Cell((Run(text, led=stages_led(fastener.tighten)),)) if text else Cell()


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
        cell(thread_text(fastener)),
        cell(tool_text(fastener, shop)),
        *(cell(stages_text(fastener, unit)) for unit in TORQUE_UNITS),
        cell(order_text(fastener)),
        cell(hardware_text(fastener, uses)),
        cell(fastener.condition or ""),
        cell(f"after {fastener.recheck.canonical()}" if fastener.recheck else ""),
        cell(fastener.source),
        step_links(use.step for use in used),
    )
    return Row(cells, f"fastener:{fastener.id}", str(uses.condition(fastener.when, used)))


def thread_text(fastener: Fastener) -> str:
    """Thread and class, and what is special about turning it: "M8x1.25, 8.8"."""
    words = [fastener.thread.written] if fastener.thread else []
    if fastener.class_:
        words.append(fastener.class_text)
    if fastener.turns == "left":
        words.append("left-hand thread")
    if fastener.at == "ride-height":
        words.append("at ride height")
    return ", ".join(words)
