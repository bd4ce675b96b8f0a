"""What a page tells its scripts: which car it is about, which procedure, which readings it asks."""

from __future__ import annotations

import json
from html import escape
from typing import TYPE_CHECKING, Any

from procedures_lib.entities.car import Vehicle
from procedures_lib.entities.kit import Kit
from procedures_lib.entities.work import Procedure
from procedures_lib.exports.records import asked_at, procedure_digest, step_digest
from procedures_lib.exports.records.tolerance import in_units, limits_of
from procedures_lib.manual.names import humanised
from procedures_lib.quantities.converting import TORQUE_LEADS
from procedures_lib.site.html import element

if TYPE_CHECKING:
    from collections.abc import Mapping

    from procedures_lib.entities.base import Entity
    from procedures_lib.exports.records import Asked
    from procedures_lib.manual import Manual, NumberedStep, Plan
    from procedures_lib.manual.shop import Shop


def vehicle_of(entity: Entity, manual: Manual) -> Vehicle | None:
    """Return the vehicle that the head of a page is about, if it is about one."""
    if isinstance(entity, Vehicle):
        return entity
    name = entity.fits.vehicle if isinstance(entity, Kit) else getattr(entity, "vehicle", None)
    return manual.head(Vehicle, str(name)) if name else None


def car_html(vehicle: Vehicle | None, facts: Mapping[str, str] | None = None) -> str:
    """Return the place at the head of a page where its car is chosen, "" without one.

    It is empty: what stands in it, ``car.js`` makes. ``facts`` are further ``data-`` attributes.
    """
    if vehicle is None and not facts:
        return ""
    about = {}
    if vehicle is not None:
        options = [[option, humanised(option), list(values)] for option, values in vehicle.options]
        about = {"vehicle": vehicle.id, "car": vehicle.name, "options": _json(options)}
    written = {f"data_{key}": text for key, text in {**about, **(facts or {})}.items()}
    return element("div", "", class_="page-car", **written)


def procedure_facts(plan: Plan, shop: Shop) -> dict[str, str]:
    """Return what the scripts need of a procedure: what it is, and the shop's tools."""
    head = plan.head
    if not isinstance(head, Procedure):
        return {}
    wrenches = [[str(each.id), each.name] for each in shop.torque_wrenches]
    gauges = [[str(each.id), each.name] for each in shop.angle_gauges]
    return {
        "procedure": head.id,
        "title": plan.title,
        "revision": head.revision,
        "digest": procedure_digest(plan),
        "wrenches": _json(wrenches),
        "gauges": _json(gauges),
    }


def step_attributes(numbered: NumberedStep, plan: Plan, key: str, *, walked: bool) -> str:
    """Return the attributes of a procedure's step: its lasting name, its hash, what is known.

    ``data-open`` stands where the open items after the step are known, be there any or none.
    """
    if not isinstance(plan.head, Procedure):
        return ""
    known = ' data-open=""' if walked else ""
    return f' data-key="{escape(key)}" data-digest="{step_digest(numbered, plan)}"{known}'


def readings_by_joint(numbered: NumberedStep, plan: Plan) -> dict[str, list[Asked]]:
    """Return the readings that a step of a procedure asks for, by the joint's id."""
    found: dict[str, list[Asked]] = {}
    if isinstance(plan.head, Procedure):
        for each in asked_at(numbered, plan):
            found.setdefault(each.joint, []).append(each)
    return found


def reading_value(each: Asked) -> dict[str, Any]:
    """Return a reading as the page's scripts take it; ``limits`` are for a first look only."""
    limits = limits_of(each.what)
    return {
        "joint": each.joint,
        "name": each.name,
        "count": each.count,
        "stage": each.stage,
        "angle": each.is_angle,
        "text": each.what.shown(),
        "unit": "°" if each.is_angle else TORQUE_LEADS,
        "limits": in_units(limits) if limits else {},
    }


def readings_attribute(readings: list[Asked]) -> str:
    """Return the attribute of an action that asks for readings, "" for none."""
    if not readings:
        return ""
    return f' data-readings="{escape(_json([reading_value(each) for each in readings]))}"'


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))
