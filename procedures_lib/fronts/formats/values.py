"""Quantities, stages, joints, steps and tables as values for JSON."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.work import Action
from procedures_lib.language.variants import ALWAYS
from procedures_lib.manual import NumberedStep
from procedures_lib.manual.scope import name_of
from procedures_lib.manual.shop import Shop
from procedures_lib.view.joint import hardware_text, joints, order_of, order_of_stage, tools_for
from procedures_lib.view.step import hazards_of_step, prose
from procedures_lib.view.table import Table
from procedures_lib.view.uses import Uses


def quantity_value(quantity: Quantity | None) -> dict[str, Any] | None:
    """Return ``{text, unit, value, low, high}``; None for no quantity.

    The numbers are in ``unit``, exact: ``value`` is the one named, None for a range; ``low`` and
    ``high`` are the ends of a tolerance or range, alike for a plain number.
    """
    if quantity is None:
        return None
    return {
        "text": spaced(quantity.canonical()),
        "unit": quantity.unit,
        "value": None if quantity.value is None else exact_number(quantity.value),
        "low": exact_number(quantity.low),
        "high": exact_number(quantity.high),
    }


def exact_number(value: Fraction) -> int | float | str:
    """Return a number that JSON writes exactly; one that no decimal is (1/3) as "1/3"."""
    if value.denominator == 1:
        return value.numerator
    near = float(value)
    return near if Fraction(repr(near)) == value else f"{value.numerator}/{value.denominator}"


FORMAT = 1


def table_json(table: Table, uses: Uses) -> dict[str, Any]:
    """Return ``{format, procedure, table, when, rows}``.

    A row maps the keys of the columns to texts. A row of the torque table also has the fastener's
    ``id`` and ``stages``, a list of ``{kind, text, N_m_low, N_m_high, degrees}``.
    """
    rows: list[dict[str, Any]] = [
        {key: spaced(text) for key, text in record.items()} for record in table.records()
    ]
    if table.kind == "torque":
        rows = [
            {"id": fastener.id, **row, "stages": list(map(stage_value, fastener.tighten))}
            for row, fastener in zip(rows, joints(uses), strict=True)
        ]
    return {
        "format": FORMAT,
        "procedure": uses.plan.head.id,
        "table": table.kind,
        "when": str(uses.when),
        "rows": rows,
    }


def stage_value(stage: Stage) -> dict[str, Any]:
    """Return a stage with its numbers, None where it has none.

    ``N_m_low`` and ``N_m_high`` are converted exactly and not rounded, the two ends of a tolerance
    or range, the same for a plain torque; ``degrees`` is negative for backing off.
    """
    low, high = stage.torque.exact("N·m") if stage.torque else (None, None)
    return {
        "kind": str(stage.kind),
        "text": spaced(stage.written()),
        "N_m_low": None if low is None else float(low),
        "N_m_high": None if high is None else float(high),
        "degrees": stage.degrees,
    }


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


def step_value(numbered: NumberedStep, uses: Uses) -> dict[str, Any]:
    """Return a step: ``common`` is the page of common steps that it comes from, "" for its own."""
    step = numbered.step
    return {
        "number": numbered.number,
        "id": step.id,
        "title": step.title,
        "when": str(numbered.when),
        "common": str(numbered.through.common) if numbered.through else "",
        "actions": [_action(action, uses) for action in step.actions],
        "time": quantity_value(step.time),
        "people": step.people,
        "tools": list(step.tools),
        "supplies": list(step.supplies),
        "hazards": [str(name) for name in hazards_of_step(numbered, uses.plan)],
        "signals": [
            {
                "word": signal.word,
                "title": signal.title,
                "hazard": str(signal.hazard),
                "text": [spaced(text) for text in prose(signal.text, uses)],
            }
            for signal in step.signals
        ],
        "prose": [spaced(text) for text in prose(step.block.body, uses)],
    }


def _action(action: Action, uses: Uses) -> dict[str, Any]:
    return {
        "verb": str(action.verb),
        "objects": [_object(str(name), uses) for name in action.objects],
        "on": str(action.on or ""),
        "stage": action.stage or None,
    }


def _object(name: str, uses: Uses) -> dict[str, Any]:
    """What an action works on; ``kind`` is "" for words that name no thing of the manual."""
    entity = uses.plan.scope.get(name)
    if entity is None:
        return {"id": "", "kind": "", "name": name, "count": None, "when": ""}
    count = getattr(entity, "count", None)
    return {
        "id": entity.id,
        "kind": entity.KIND,
        "name": name_of(entity, uses.plan.scope),
        "count": count if isinstance(count, int) else None,
        "when": str(getattr(entity, "when", ALWAYS)),
    }
