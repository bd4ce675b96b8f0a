"""The tools that a fastener asks for: socket, reach, torque wrench, angle gauge."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.tightening import StageKind
from procedures_lib.tightening.adapter import Adapter
from procedures_lib.tightening.settings import (
    band_text,
    customary_unit,
    one_unit,
    torque_text,
)
from procedures_lib.tightening.wrench import need_of
from procedures_lib.tightening.wrench_choice import choose

if TYPE_CHECKING:
    from procedures_lib.entities.car import Fastener
    from procedures_lib.manual.shop import AngleGauge, Shop, TorqueWrench
    from procedures_lib.quantities import Quantity
    from procedures_lib.tightening import Stage
    from procedures_lib.tightening.wrench import Choice, Fit

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
