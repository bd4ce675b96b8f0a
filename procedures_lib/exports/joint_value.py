"""The joints of a procedure as values for JSON, each stage with its exact numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.exports.quantity_value import quantity_value
from procedures_lib.exports.spacing import spaced
from procedures_lib.manual.names import name_of
from procedures_lib.tables.orders import order_of, order_of_stage
from procedures_lib.tables.tooling import tools_for
from procedures_lib.tables.torque import hardware_text, joints
from procedures_lib.tightening import StageKind

if TYPE_CHECKING:
    from procedures_lib.entities.car import Fastener
    from procedures_lib.manual.shop import Shop
    from procedures_lib.tables.uses import Uses
    from procedures_lib.tightening import Stage


def joint_values(uses: Uses, shop: Shop) -> list[dict[str, Any]]:
    """Return the joints that the steps tighten, in the order of their first step."""
    return [_joint(fastener, uses, shop) for fastener in joints(uses)]


def _joint(fastener: Fastener, uses: Uses, shop: Shop) -> dict[str, Any]:
    used = uses.of(fastener.id, "tighten", "start", "fit")
    return {
        "id": fastener.id,
        "name": name_of(fastener, uses.plan.scope),
        "kind": fastener.kind,
        "count": fastener.count,
        "thread": fastener.thread.written if fastener.thread else "",
        "turns": fastener.turns,
        "class": fastener.class_,
        "head": fastener.head,
        "condition": fastener.condition or "",
        "when": str(uses.condition(fastener.when, used)),
        "at_ride_height": fastener.at == "ride-height",
        "adapter": quantity_value(fastener.adapter),
        "hardware": hardware_text(fastener, uses),
        "tools": [spaced(tool) for tool in tools_for(fastener, shop)],
        "stages": [_stage(stage, fastener) for stage in fastener.tighten],
        "order": list(order_of(fastener)),
        "positions": [{"name": name, "x_mm": x, "y_mm": y} for name, (x, y) in fastener.positions],
        "front": fastener.front or "",
        "recheck": quantity_value(fastener.recheck),
        "source": fastener.source,
        "steps": sorted({use.step.number for use in used}),
    }


def _stage(stage: Stage, fastener: Fastener) -> dict[str, Any]:
    """A stage: ``amount`` as its page has it; ``N_m`` and ``degrees`` None where it has none."""
    return {
        "kind": str(stage.kind),
        "text": spaced(stage.written()),
        "amount": quantity_value(stage.amount),
        "N_m": _newton_metres(stage),
        "degrees": stage.degrees,
        "fully": stage.kind is StageKind.BACK_OFF and stage.amount is None,
        "order": list(order_of_stage(fastener, stage)),
    }


def _newton_metres(stage: Stage) -> dict[str, float] | None:
    if stage.torque is None:
        return None
    low, high = stage.torque.exact("N·m")
    return {"low": float(low), "high": float(high)}
