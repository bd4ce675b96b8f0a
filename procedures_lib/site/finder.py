"""The cards of the landing page: car, then kit and procedure, in two taps."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Vehicle
from procedures_lib.entities.kit import Kit
from procedures_lib.entities.work import Job, Procedure
from procedures_lib.site.html import element, list_html

if TYPE_CHECKING:
    from procedures_lib.manual import Manual
    from procedures_lib.site.html import Href


def finder_html(manual: Manual, href: Href) -> str:
    """Return one fold a car: its name, then its procedures with their kits, jobs and the car."""
    cards = [_card(vehicle, manual, href) for vehicle in manual.heads(Vehicle)]
    return element("div", "".join(cards), class_="cars")


def _card(vehicle: Vehicle, manual: Manual, href: Href) -> str:
    years = f" {vehicle.years}" if vehicle.years else ""
    summary = element("summary", escape(f"{vehicle.name}{years}"))
    items = [
        _procedure(procedure, manual, href)
        for procedure in manual.heads(Procedure)
        if procedure.vehicle == vehicle.id
    ]
    items += [_page(job.name or job.id, job, href) for job in manual.heads(Job)
              if job.vehicle == vehicle.id]  # fmt: skip
    items.append(_page("The car itself: parts, fasteners, fluids", vehicle, href))
    return element("details", summary + list_html(items), class_="car")


def _procedure(procedure: Procedure, manual: Manual, href: Href) -> str:
    plan = manual.plan(procedure)
    link = _page(plan.title, procedure, href)
    kit = manual.head(Kit, procedure.kit) if procedure.kit else None
    return f"{link} {_page(f'{kit.name}, {kit.id.upper()}', kit, href)}" if kit else link


def _page(text: str, head: Procedure | Kit | Job | Vehicle, href: Href) -> str:
    address = href(f"page:{head.place.page.removesuffix('.md')}")
    return element("a", escape(text), href=address, class_=f"to-{head.KIND}")
