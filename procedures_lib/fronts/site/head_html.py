"""The head of a page as HTML, and what its scripts need."""

from __future__ import annotations

import json
from collections.abc import Mapping
from html import escape
from typing import Any

from procedures_lib.fronts.site.change_marks import earlier_html
from procedures_lib.fronts.site.html import (
    Anchors,
    Href,
    element,
    facts_html,
    table_html,
)
from procedures_lib.fronts.tables.procedure_tables import check_in_table, visit_table
from procedures_lib.fronts.tables.words import duration_text
from procedures_lib.judging.records.readings import (
    UNITS,
    Asked,
    asked_at,
    in_units,
    limits_of,
    procedure_digest,
    step_digest,
)
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Job, Procedure
from procedures_lib.manual import Manual, NumberedStep, Plan, Scope
from procedures_lib.manual.names import humanised
from procedures_lib.manual.shop import Shop
from procedures_lib.view.preparation import packed
from procedures_lib.view.uses import cars_of
from procedures_lib.walk.visit import Visit

Readings = dict[str, list[Asked]]
"""The readings that a step asks for, by the joint's id."""


def vehicle_of(entity: Entity, manual: Manual) -> Vehicle | None:
    """Return the vehicle that the head of a page is about, if it is about one."""
    if isinstance(entity, Vehicle):
        return entity
    name = entity.fits.vehicle if isinstance(entity, Kit) else getattr(entity, "vehicle", None)
    return manual.head(Vehicle, str(name)) if name else None


def only_for(entity: Entity, plan: Plan | None) -> str:
    """Return the cars that the page of a head is for, "" for all of its vehicle."""
    if isinstance(entity, Kit):
        return str(entity.fits.when)
    if isinstance(entity, Job):
        return str(entity.when)
    return str(cars_of(plan)) if plan else ""


def car_html(vehicle: Vehicle | None, facts: Mapping[str, str] | None = None) -> str:
    """Return the place at the head of a page where its car is chosen, "" without one.

    It is empty: what stands in it, ``car.js`` makes. ``facts`` are further ``data-`` attributes.
    """
    if vehicle is None and not any((facts or {}).values()):
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


def readings_by_joint(numbered: NumberedStep, plan: Plan) -> Readings:
    """Return the readings that a step of a procedure asks for, by the joint's id."""
    found: Readings = {}
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
        "unit": UNITS[each.measure][0],
        "units": UNITS[each.measure],
        "when": str(each.when),
        "limits": in_units(limits) if limits else {},
    }


def readings_attribute(readings: list[Asked]) -> str:
    """Return the attribute of an action that asks for readings, "" for none."""
    if not readings:
        return ""
    return f' data-readings="{escape(_json([reading_value(each) for each in readings]))}"'


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


Facts = list[tuple[str, str]]


def head_html(entity: Entity, scope: Scope, manual: Manual, href: Href, anchors: Anchors) -> str:
    """Return the facts of a head block, "" where there is nothing to show."""
    match entity:
        case Vehicle():
            return facts_html(_vehicle(entity))
        case Kit():
            table = check_in_table(packed(entity, scope)).without_empty_columns()
            return facts_html(_kit(entity, manual)) + table_html(table, href, anchors)
        case Procedure():
            reviewed = f", reviewed {entity.reviewed.isoformat()}" if entity.reviewed else ""
            text = f"Revision {entity.revision}{reviewed}"
            only = only_for(entity, manual.plan(entity)).replace("=", " ")
            cars = element("p", f"Only for {element('strong', escape(only))}") if only else ""
            revision = element("p", escape(text), class_="revision")
            return cars + revision + earlier_html(manual, entity.id)
        case DynoSession():
            return facts_html(_session(entity, manual))
    return ""


def job_html(visit: Visit, titles: Mapping[str, str], href: Href, anchors: Anchors) -> str:
    """Return a visit: how long it takes, what it saves, and its steps in order."""
    shared = sum(each.shared for each in visit.steps)
    facts = [
        ("Procedures", "; then ".join(titles.get(name, name) for name in visit.order)),
        ("Steps", f"{len(visit.steps)}, {shared} of them shared"),
        ("Time", duration_text(visit.seconds)),
        ("Time saved", duration_text(visit.saved_seconds)),
        ("Only for", str(visit.job.when)),
        ("Note", visit.job.note),
    ]
    table = visit_table(visit, titles).without_empty_columns()
    return facts_html((a, b) for a, b in facts if b) + table_html(table, href, anchors)


def _vehicle(vehicle: Vehicle) -> Facts:
    facts = [("Car", vehicle.name)]
    if vehicle.years:
        facts.append(("Years", str(vehicle.years)))
    facts += [(humanised(option), " or ".join(values)) for option, values in vehicle.options]
    return [*facts, ("Note", vehicle.note)] if vehicle.note else facts


def _kit(kit: Kit, manual: Manual) -> Facts:
    years = f", {kit.fits.years}" if kit.fits.years else ""
    only = f", only {kit.fits.when}" if str(kit.fits.when) else ""
    facts = [("Kit", kit.name), ("Fits", f"{_name(manual, kit.fits.vehicle)}{years}{only}")]
    if kit.revision:
        facts.append(("Revision", kit.revision))
    if kit.needs.fuel:
        facts.append(("Needs fuel", f"at least {kit.needs.fuel.tidy}"))
    for option, number in kit.needs.calibration:
        facts.append(("Needs calibration", f"{number} ({option})" if option else number))
    claims = [q.tidy for q in (kit.claims.power, kit.claims.torque) if q]
    if claims:
        facts.append(("The maker claims", ", ".join(claims)))
    if kit.emissions:
        facts.append(("Emissions", kit.emissions.text))
    return [*facts, ("Note", kit.note)] if kit.note else facts


def _session(session: DynoSession, manual: Manual) -> Facts:
    facts = [("Car", _name(manual, session.vehicle))]
    facts.append(("Pulls", f"{len(session.before)} before, {len(session.after)} after"))
    return [*facts, ("Note", session.note)] if session.note else facts


def _name(manual: Manual, vehicle: str) -> str:
    found = manual.head(Vehicle, vehicle)
    return found.name if found else humanised(vehicle)
