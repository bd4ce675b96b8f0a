"""A joint: its stages, tools, hardware, orders, and the torque table of all of them."""

from __future__ import annotations

import re
from collections.abc import Iterable

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.engineering.tightening.order_proposal import order_by_pattern
from procedures_lib.engineering.tightening.wrench import Adapter, Choice, Fit, need_of
from procedures_lib.engineering.tightening.wrench_choice import (
    band_text,
    choose,
    customary_unit,
    one_unit,
    torque_text,
)
from procedures_lib.language.entities.car import ORDER_PATTERNS, Fastener
from procedures_lib.manual.scope import name_of
from procedures_lib.manual.shop import AngleGauge, Shop, TorqueWrench
from procedures_lib.view.table import Cell, Column, Row, Run, Table, cell
from procedures_lib.view.uses import Uses, made_once, step_links


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


_SIZED = re.compile(r"(\d+-point|socket hex|hex|square)\s+(.+)$")
_DRIVER = re.compile(r"(torx|e-torx|phillips|pozidriv|slotted)\b\s*(.*)$", re.IGNORECASE)


def socket_for(head: str) -> str:
    """Return the tool for a head as a writer names it: ``hex 10 mm`` is "10 mm socket"."""
    head = head.strip()
    if match := _SIZED.match(head):
        kind, size = match.groups()
        names = {"hex": f"{size} socket", "socket hex": f"{size} hex-key bit"}
        return names.get(kind, f"{size} {kind} socket")
    if match := _DRIVER.match(head):
        kind, size = match[1].lower(), match[2].strip()
        if kind == "torx":
            return f"{size or 'torx'} bit"
        if kind == "e-torx":
            return f"{size or 'e-torx'} socket"
        return f"{kind} {size} screwdriver".replace("  ", " ")
    return head


def wrench_for(stage: Stage, shop: Shop, adapter: Quantity | None = None) -> TorqueWrench | None:
    """Return the shop's torque wrench for a stage; None when none fits or none is needed.

    ``adapter`` is the length of a crow-foot in line with the wrench.
    """
    fit = _fit(stage, shop, adapter)
    return None if fit is None else shop.torque_wrenches[shop.wrenches.index(fit.wrench)]


def choice_for(stage: Stage, shop: Shop, adapter: Quantity | None = None) -> Choice | None:
    """Return which wrench does a stage, and why others do not; None when it takes none."""
    need = need_of(stage, Adapter(adapter.si * 1000) if adapter else None)
    return choose(shop.wrenches, need, shop.day) if need else None


def gauge_for(stage: Stage, shop: Shop, drive: str = "") -> AngleGauge | None:
    """Return the shop's gauge for an angle stage: one that goes so far, if it can on this drive."""
    if stage.kind is not StageKind.ANGLE:
        return None
    reaching = [
        gauge
        for gauge in shop.angle_gauges
        if gauge.most_degrees is None or gauge.most_degrees >= (stage.degrees or 0.0)
    ]
    return next((g for g in reaching if drive and g.drive == drive), next(iter(reaching), None))


def tools_for(fastener: Fastener, shop: Shop) -> list[str]:
    """Return the names of all tools that a group of fasteners asks for, in the order of use."""
    tools = _plain_tools(fastener) + [name for _, name, _ in _stage_tools(fastener, shop)]
    return list(dict.fromkeys(tools))


def tool_text(fastener: Fastener, shop: Shop) -> str:
    """The tools in one line; where several wrenches are used, with the stages of each.

    The setting stands with a wrench where it is not the torque that the stage names: with an
    adapter, and in the middle of a range.
    """
    staged = _stage_tools(fastener, shop)
    several = len({name for n, name, _ in staged if fastener.tighten[n - 1].torque}) > 1
    notes: dict[str, list[str]] = {}
    for n, name, setting in staged:
        listed = notes.setdefault(name, [])
        if setting or (several and fastener.tighten[n - 1].torque):
            where = f"stage {n}" if len(fastener.tighten) > 1 else ""
            listed.append(": ".join(text for text in (where, setting) if text))
    wrenches = [f"{name} ({'; '.join(said)})" if said else name for name, said in notes.items()]
    return ", ".join([*_plain_tools(fastener), *wrenches])


def _plain_tools(fastener: Fastener) -> list[str]:
    socket = [socket_for(fastener.head)] if fastener.head else []
    return [*socket, fastener.reach] if fastener.reach else socket


def _stage_tools(fastener: Fastener, shop: Shop) -> list[tuple[int, str, str]]:
    """The number of each stage that takes a tool, the tool's name, and what to set on it."""
    found, drive = [], ""
    for n, stage in enumerate(fastener.tighten, start=1):
        if stage.torque is not None:
            fit = _fit(stage, shop, fastener.adapter)
            drive = fit.wrench.drive if fit else drive
            name = fit.wrench.name if fit else f"torque wrench for {stage.written()}"
            found.append((n, name, _setting(stage, fit, fastener)))
        elif stage.kind is StageKind.ANGLE:
            gauge = gauge_for(stage, shop, drive)
            found.append((n, gauge.name if gauge else "angle gauge", ""))
    return found


def wrench_rows(fastener: Fastener, shop: Shop) -> tuple[tuple[str, str], ...]:
    """For each stage with a torque: the wrench, its setting, and what the fastener then gets."""
    rows = []
    several = len(fastener.tighten) > 1
    for n, stage in enumerate(fastener.tighten, start=1):
        fit = _fit(stage, shop, fastener.adapter) if stage.torque is not None else None
        if fit is not None:
            label = f"Wrench, stage {n}" if several else "Wrench"
            rows.append((label, f"{fit.wrench.name}{_set_to(fit)}"))
    return tuple(rows)


def _set_to(fit: Fit) -> str:
    """The setting of a wrench that clicks, and the band that its class leaves."""
    said = "" if fit.wrench.shows else f", set {torque_text(fit.setting)}"
    if fit.low is None or fit.high is None:
        return said
    return f"{said}: {band_text(fit.low, fit.high, 'N·m')}"


def _fit(stage: Stage, shop: Shop, adapter: Quantity | None) -> Fit | None:
    choice = choice_for(stage, shop, adapter)
    return choice.best if choice else None


def _setting(stage: Stage, fit: Fit | None, fastener: Fastener) -> str:
    """What to set, where that is not what the stage says."""
    if fit is None or fit.wrench.shows or stage.kind is not StageKind.TORQUE:
        return ""
    ranged = stage.amount is not None and stage.amount.value is None
    if fastener.adapter is None and not ranged:
        return ""
    behind = f" with the {fastener.adapter.canonical()} adapter" if fastener.adapter else ""
    units = ("N·m", customary_unit(fit.setting))
    return f"set {' = '.join(one_unit(fit.setting, unit) for unit in units)}{behind}"


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
