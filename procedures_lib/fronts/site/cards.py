"""What the card of a page says: of a car, a kit, a procedure or a visit, from their heads."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from procedures_lib.fronts.site.head_html import only_for, vehicle_of
from procedures_lib.fronts.tables.words import duration_text
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Job, Procedure
from procedures_lib.manual import Manual
from procedures_lib.manual.names import humanised
from procedures_lib.view.step import hazards_met
from procedures_lib.view.uses import uses_of

Head = Vehicle | Kit | Procedure | Job
GRAVE = ("DANGER", "WARNING")


class Line(NamedTuple):
    """A line of a card: its label, "" for none, its text, and the page (docname) it leads to."""

    label: str
    text: str
    page: str = ""


class Card(NamedTuple):
    """What a card says of a page: the car that it is about by id and name, its title, its lines.

    ``only`` are the cars that it is for, "" for all of the vehicle.
    """

    page: str
    title: str
    kind: str
    name: str
    car: str
    car_name: str
    only: str
    lines: tuple[Line, ...]


def card_of(manual: Manual, docname: str, *, full: bool = True) -> Card | None:
    """Return the card of a page, None for one without a car, kit, procedure or job.

    Without ``full``, it has of its lines only those that lead to a kit or a procedure.
    """
    key = ("card", docname, "full" if full else "short")
    return manual.once(key, lambda: _card(manual, docname, full))


def card_said(manual: Manual, docname: str) -> str:
    """Return all that a page's card says, as a text to compare; "" without one."""
    card = card_of(manual, docname)
    return repr(card) if card else ""


def _card(manual: Manual, docname: str, full: bool) -> Card | None:
    page = f"{docname}.md"
    heads = manual.entities_on(page).values() if page in manual.contents else ()
    head = next((each for each in heads if isinstance(each, Head)), None)
    if head is None:
        return None
    vehicle = vehicle_of(head, manual)
    plan = manual.plan(head) if isinstance(head, Procedure) else None
    title = manual.contents[page].page.title or head.id
    car = vehicle.name if vehicle else ""
    about = (str(vehicle.id) if vehicle else "", car, only_for(head, plan))
    lines = tuple(line for line in _lines(head, manual, full) if line.text)
    return Card(docname, title, head.KIND, str(head.id), *about, lines)


def _lines(head: Head, manual: Manual, full: bool) -> Iterator[Line]:
    match head:
        case Vehicle():
            yield from _car_lines(head, manual)
        case Kit():
            yield from _kit_lines(head, manual)
        case Procedure():
            kit = manual.head(Kit, str(head.kit)) if head.kit else None
            if kit:
                yield Line("", f"{kit.name}, {kit.id.upper()}", docname_of(kit))
            yield from _work_lines(head, manual) if full else ()
        case Job():
            for name in head.procedures:
                work = manual.head(Procedure, str(name))
                if work:
                    yield _to(work, manual)
            yield Line("", head.note)


def _car_lines(car: Vehicle, manual: Manual) -> Iterator[Line]:
    works = [each for each in manual.heads(Procedure) if each.vehicle == car.id]
    kits = [each for each in manual.heads(Kit) if each.fits.vehicle == car.id]
    yield Line("Years", str(car.years or ""))
    yield Line("", f"{_counted(len(works), 'procedure')}, {_counted(len(kits), 'kit')}")
    yield Line("Differs in", ", ".join(humanised(option).lower() for option, _ in car.options))


def _kit_lines(kit: Kit, manual: Manual) -> Iterator[Line]:
    claims = (q.tidy for q in (kit.claims.power, kit.claims.torque) if q)
    revision = f", revision {kit.revision}" if kit.revision else ""
    yield Line("", f"{kit.name}, {kit.id.upper()}{revision}")
    yield Line("Needs fuel", f"at least {kit.needs.fuel.tidy}" if kit.needs.fuel else "")
    yield Line("The maker claims", ", ".join(claims))
    for work in manual.heads(Procedure):
        if work.kit == kit.id:
            yield _to(work, manual)


def _to(work: Procedure, manual: Manual) -> Line:
    return Line("", manual.plan(work).title, docname_of(work))


def _work_lines(head: Procedure, manual: Manual) -> tuple[Line, ...]:
    uses = uses_of(manual.plan(head))
    seconds = sum(each.step.time.si for each in uses.steps if each.step.time is not None)
    people = max((each.step.people for each in uses.steps), default=1)
    work = [_counted(len(uses.steps), "step"), duration_text(seconds) if seconds else ""]
    work += [f"{people} people" if people > 1 else ""]
    reviewed = f", reviewed {head.reviewed.isoformat()}" if head.reviewed else ""
    hazards = [
        (str(met.hazard.signal), f"{met.hazard.name}{f' ({met.when})' if str(met.when) else ''}")
        for met in hazards_met(uses)
    ]
    return (
        Line("", " · ".join(filter(None, work))),
        Line("Revision", f"{head.revision}{reviewed}"),
        *(Line(word, ", ".join(n for each, n in hazards if each == word)) for word in GRAVE),
    )


def _counted(number: int, name: str) -> str:
    return f"{number} {name}{'' if number == 1 else 's'}"


def docname_of(head: Entity) -> str:
    """Return the page that a head stands on, as Sphinx names it."""
    return head.place.page.removesuffix(".md")
