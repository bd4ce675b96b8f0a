"""A whole procedure as a value for JSON; ``procedure.schema.json`` beside it describes it."""

from __future__ import annotations

from typing import Any

from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.formats.values import (
    joint_values,
    part_values,
    quantity_value,
    step_value,
    table_values,
    tool_values,
    values_of_tests,
)
from procedures_lib.fronts.tables.gain_report import gain_lines
from procedures_lib.fronts.tables.plain_words import prose
from procedures_lib.fronts.tables.procedure_tables import handover_lines, supply_text
from procedures_lib.fronts.tables.words import recheck_text
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.names import name_of
from procedures_lib.manual.shop import Shop
from procedures_lib.view.closing import closing, handover
from procedures_lib.view.preparation import PreparationView, parts, preparation
from procedures_lib.view.step import steps_in
from procedures_lib.view.uses import Uses, uses_of

FORMAT = 1
TABLE_FORMAT = 2


def procedure_json(manual: Manual, plan: Plan, when: Condition = ALWAYS) -> dict[str, Any]:
    """Return all that a procedure says, for the cars that meet ``when``.

    Keys stand in one order, and the same pages give the same value. Conditions are texts, "" for
    every car; dates are as in ISO 8601; numbers are exact (``quantity_value``), but for ``N_m``,
    which is the nearest a program can hold.
    """
    return value_of(manual, uses_of(plan, when))


def table_json(name: str, uses: Uses, shop: Shop) -> dict[str, Any]:
    """Return a table by its name as ``{format, procedure, table, when, rows}``.

    Its rows are those that the whole procedure has as ``joints``, ``parts`` or ``tools``.
    """
    return {
        "format": TABLE_FORMAT,
        "procedure": uses.plan.head.id,
        "table": name,
        "when": str(uses.when),
        "rows": table_values(name, uses, shop),
    }


def value_of(manual: Manual, uses: Uses) -> dict[str, Any]:
    """Return the same from its uses."""
    plan, last = uses.plan, closing(uses)
    prepared = preparation(uses, manual.shop)
    lines = handover_lines(handover(uses), gain_lines(manual, plan.head.id))
    return {
        "format": FORMAT,
        **_head(plan),
        "when": str(uses.when),
        "vehicle": _vehicle(plan.vehicle),
        "kit": _kit(plan.kit, uses),
        "hazards": _hazards(prepared),
        "rules": _rules(prepared, uses),
        "seconds": round(prepared.seconds, 3),
        "steps_without_time": prepared.untimed,
        "people": prepared.people,
        "protection": [
            {"name": worn.name, "steps": list(worn.steps), "when": str(worn.when)}
            for worn in prepared.protection
        ],
        "supplies": [supply_text(supply) for supply in prepared.supplies],
        "steps": [step_value(step, uses) for step in steps_in(uses)],
        "joints": joint_values(uses, manual.shop),
        "parts": part_values(parts(uses)),
        "tools": tool_values(prepared.tools),
        "tests": values_of_tests(last.tests),
        "rechecks": [spaced(recheck_text(joint)) for joint in last.rechecks],
        "left_open": list(last.left_open),
        "handover": [{"label": label, "text": spaced(text)} for label, text in lines],
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
        "begins_with": [str(word) for word in plan.begins_with],
        "ends_with": [str(word) for word in plan.ends_with],
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


def _rules(prepared: PreparationView, uses: Uses) -> list[dict[str, Any]]:
    return [
        {
            "id": met.rule.id,
            "name": name_of(met.rule, uses.plan.scope),
            "text": [spaced(text) for text in prose(met.rule.text, uses)],
            "source": met.rule.source,
            "steps": list(met.steps),
            "when": str(met.when),
        }
        for met in prepared.rules
    ]


def _hazards(prepared: PreparationView) -> list[dict[str, Any]]:
    return [
        {
            "id": met.hazard.id,
            "signal": met.hazard.signal,
            "name": met.hazard.name,
            "harm": spaced(met.hazard.harm),
            "avoid": spaced(met.hazard.avoid),
            "tools": list(map(str, met.hazard.tools)),
            "protection": list(map(str, met.hazard.protection)),
            "when": str(met.when),
            "steps": list(met.steps),
        }
        for met in prepared.hazards
    ]
