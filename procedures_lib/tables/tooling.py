"""The tools that a fastener asks for: socket, reach, torque wrench, angle gauge."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.tightening import StageKind
from procedures_lib.tightening.wrench import nearest_to_middle

if TYPE_CHECKING:
    from procedures_lib.entities.car import Fastener
    from procedures_lib.manual.shop import Shop, TorqueWrench
    from procedures_lib.quantities import Quantity
    from procedures_lib.tightening import Stage

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


def wrench_for(stage: Stage, shop: Shop) -> TorqueWrench | None:
    """Return the shop's torque wrench for a stage; None when none fits or none is needed.

    Drag is read while the part turns, which takes a wrench that shows the torque (type I of
    ISO 6789-1). Any other torque is set on one that clicks (type II) where the shop has one.
    """
    if stage.torque is None:
        return None
    shows = [wrench for wrench in shop.torque_wrenches if wrench.shows_torque]
    clicks = [wrench for wrench in shop.torque_wrenches if not wrench.shows_torque]
    if stage.kind is StageKind.DRAG:
        return _nearest(stage.torque, shows)
    return _nearest(stage.torque, clicks) or _nearest(stage.torque, shows)


def _nearest(torque: Quantity, wrenches: list[TorqueWrench]) -> TorqueWrench | None:
    low, high = map(float, torque.exact("N·m"))
    index = nearest_to_middle([wrench.scale for wrench in wrenches], low, high)
    return None if index is None else wrenches[index]


def tools_for(fastener: Fastener, shop: Shop) -> list[str]:
    """Return the names of all tools that a group of fasteners asks for, in the order of use."""
    tools = [socket_for(fastener.head)] if fastener.head else []
    if fastener.reach:
        tools.append(fastener.reach)
    for stage in fastener.tighten:
        if stage.torque is not None:
            wrench = wrench_for(stage, shop)
            tools.append(wrench.name if wrench else f"torque wrench for {stage.written()}")
        elif stage.kind is StageKind.ANGLE:
            gauges = shop.angle_gauges
            tools.append(gauges[0].name if gauges else "angle gauge")
    return list(dict.fromkeys(tools))
