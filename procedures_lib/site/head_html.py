"""The head block of a page as HTML: what a reader needs of a vehicle, kit or procedure."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Vehicle
from procedures_lib.entities.dyno import DynoSession
from procedures_lib.entities.kit import Kit
from procedures_lib.entities.work import Procedure
from procedures_lib.manual.names import humanised
from procedures_lib.site.html import element, facts_html, table_html
from procedures_lib.tables.parts import contents_table
from procedures_lib.tables.preparation import duration_text
from procedures_lib.walk.visit_table import visit_table

if TYPE_CHECKING:
    from collections.abc import Mapping

    from procedures_lib.entities.base import Entity
    from procedures_lib.manual import Manual, Scope
    from procedures_lib.site.html import Anchors, Href
    from procedures_lib.walk.combining import Visit

Facts = list[tuple[str, str]]


def head_html(entity: Entity, scope: Scope, manual: Manual, href: Href, anchors: Anchors) -> str:
    """Return the facts of a head block, "" where there is nothing to show."""
    match entity:
        case Vehicle():
            return facts_html(_vehicle(entity))
        case Kit():
            table = contents_table(entity, scope).without_empty_columns()
            return facts_html(_kit(entity, manual)) + table_html(table, href, anchors)
        case Procedure():
            reviewed = f", reviewed {entity.reviewed.isoformat()}" if entity.reviewed else ""
            text = f"Revision {entity.revision}{reviewed}"
            return element("p", escape(text), class_="revision")
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
        facts.append(("Needs fuel", f"at least {kit.needs.fuel.canonical()}"))
    for option, number in kit.needs.calibration:
        facts.append(("Needs calibration", f"{number} ({option})" if option else number))
    claims = [q.canonical() for q in (kit.claims.power, kit.claims.torque) if q]
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
