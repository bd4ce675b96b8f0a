"""A whole procedure as a value for JSON; ``procedure.schema.json`` beside it describes it."""

from __future__ import annotations

from typing import Any

from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.formats.values import FORMAT, joint_values, quantity_value, step_value
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.manual import Manual, Plan
from procedures_lib.view.closing import close_up, handover
from procedures_lib.view.gain_report import handover_lines
from procedures_lib.view.preparation import Preparation, parts_list, preparation
from procedures_lib.view.table import Table
from procedures_lib.view.uses import Uses, uses_of


def procedure_json(manual: Manual, plan: Plan, when: Condition = ALWAYS) -> dict[str, Any]:
    """Return all that a procedure says, for the cars that meet ``when``.

    Keys stand in one order, and the same pages give the same value. Conditions are texts, "" for
    every car; dates are as in ISO 8601; numbers are exact (``quantity_value``), but for ``N_m``,
    which is the nearest a program can hold.
    """
    return value_of(manual, uses_of(plan, when))


def value_of(manual: Manual, uses: Uses) -> dict[str, Any]:
    """Return the same from its uses."""
    plan = uses.plan
    prepared = preparation(uses, manual.shop)
    closing = close_up(uses)
    return {
        "format": FORMAT,
        **_head(plan),
        "when": str(uses.when),
        "vehicle": _vehicle(plan.vehicle),
        "kit": _kit(plan.kit, uses),
        "hazards": _hazards(prepared),
        "seconds": round(prepared.seconds, 3),
        "steps_without_time": prepared.steps - prepared.timed,
        "people": prepared.people,
        "supplies": list(prepared.supplies),
        "steps": [step_value(numbered, uses) for numbered in uses.steps],
        "joints": joint_values(uses, manual.shop),
        "parts": _rows(parts_list(uses)),
        "tools": _rows(prepared.tools),
        "tests": _rows(closing.tests),
        "rechecks": [spaced(text) for text in closing.rechecks],
        "handover": [
            {"label": label, "text": spaced(text)}
            for label, text in handover(uses, handover_lines(manual, plan.head.id)).lines
        ],
    }


def _head(plan: Plan) -> dict[str, Any]:
    head = plan.head
    own = head if isinstance(head, Procedure) else None
    return {
        "procedure": head.id,
        "title": plan.title,
        "revision": own.revision if own else "",
        "reviewed": own.reviewed.isoformat() if own and own.reviewed else None,
        "page": head.place.page.removesuffix(".md"),
        "begins_with": [str(word) for word in own.begins_with] if own else [],
        "note": head.note,
    }


def _vehicle(vehicle: Vehicle | None) -> dict[str, Any] | None:
    if vehicle is None:
        return None
    return {
        "id": vehicle.id,
        "name": vehicle.name,
        "years": [vehicle.years.first, vehicle.years.last] if vehicle.years else None,
        "options": {option: list(values) for option, values in vehicle.options},
    }


def _kit(kit: Kit | None, uses: Uses) -> dict[str, Any] | None:
    if kit is None:
        return None
    return {
        "id": kit.id,
        "name": kit.name,
        "revision": kit.revision,
        "years": [kit.fits.years.first, kit.fits.years.last] if kit.fits.years else None,
        "when": str(kit.fits.when),
        "fuel": quantity_value(kit.needs.fuel),
        "calibration": [
            {"for": value, "number": number} for value, number in kit.needs.calibration
        ],
        "contents": [
            {
                "kind": item.kind,
                "what": item.what,
                "name": item.name,
                "number": item.number,
                "qty": item.count,
                "amount": quantity_value(item.amount),
                "spare": item.spare or 0,
                "replaces": str(item.replaces or ""),
                "when": str(item.when),
                "note": item.note,
            }
            for item in kit.contents
            if uses.applies(item.when)
        ],
        "returns": [str(name) for name in kit.returns],
    }


def _hazards(prepared: Preparation) -> list[dict[str, Any]]:
    return [
        {
            "id": met.hazard.id,
            "signal": met.hazard.signal,
            "name": met.hazard.name,
            "harm": spaced(met.hazard.harm),
            "avoid": spaced(met.hazard.avoid),
            "steps": sorted({step.number for step in met.steps}),
        }
        for met in prepared.hazards
    ]


def _rows(table: Table) -> list[dict[str, Any]]:
    """The rows of a table: steps and counts as numbers, steps said in words in ``note``."""
    return [_row(record) for record in table.records()]


def _row(record: dict[str, str]) -> dict[str, Any]:
    row: dict[str, Any] = {key: spaced(text) for key, text in record.items()}
    words = [word for word in row["steps"].split(", ") if word]
    numbers = [int(word) for word in words if word.isdecimal()]
    note = row["steps"] if len(numbers) != len(words) else row.get("note", "")
    row.update(steps=numbers, note=note)
    if "count" in row:
        said = row["count"]
        row["count"] = int(said) if said.isdecimal() else None
        row["amount"] = "" if said.isdecimal() else said
    return row
