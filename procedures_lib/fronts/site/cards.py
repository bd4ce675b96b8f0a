"""What the card of a page says: of what its head is about, or of the rules that stand on it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from procedures_lib.fronts.site.head_html import only_for, vehicle_of
from procedures_lib.fronts.tables.gain_cautions import units_of
from procedures_lib.fronts.tables.gain_report import headline
from procedures_lib.fronts.tables.words import duration_text
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Job, Procedure, Rule
from procedures_lib.manual import Manual
from procedures_lib.manual.names import humanised
from procedures_lib.view.dyno_result import measure
from procedures_lib.view.step import hazards_met
from procedures_lib.view.uses import uses_of

MAIN = (Vehicle, Kit, Procedure, Job)
BESIDE = (Common, DynoSession)
Head = Vehicle | Kit | Procedure | Job | Common | DynoSession
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
    """Return the card of a page, None for one that has neither a head nor a rule.

    Without ``full``, it has of its lines only those that lead to a kit or a procedure.
    """
    key = ("card", docname, "full" if full else "short")
    return manual.once(key, lambda: _card(manual, docname, full))


def card_said(manual: Manual, docname: str) -> str:
    """Return what a page's card says, as a text to compare; "" without one.

    Of a dyno session without its result: what that comes from is compared, not worked out.
    """
    head = _head_on(manual, f"{docname}.md")
    card = card_of(manual, docname, full=not isinstance(head, DynoSession))
    return repr(card) if card else ""


def session_on(manual: Manual, docname: str) -> str:
    """Return the dyno session whose result the card of a page says, "" for none."""
    head = _head_on(manual, f"{docname}.md")
    return str(head.id) if isinstance(head, DynoSession) else ""


def _head_on(manual: Manual, page: str) -> Head | None:
    """The head that a page is about: a car, kit, procedure or job before what stands beside it."""
    own = list(manual.entities_on(page).values()) if page in manual.contents else []
    for kinds in (MAIN, BESIDE):
        for each in own:
            if isinstance(each, kinds):
                return each
    return None


def _card(manual: Manual, docname: str, full: bool) -> Card | None:
    page = f"{docname}.md"
    head = _head_on(manual, page)
    if head is None:
        return _rules_card(manual, docname)
    vehicle = vehicle_of(head, manual)
    plan = manual.plan(head) if isinstance(head, Procedure) else None
    title = manual.contents[page].page.title or head.id
    car = vehicle.name if vehicle else ""
    about = (str(vehicle.id) if vehicle else "", car, only_for(head, plan))
    lines = tuple(line for line in _lines(head, manual, full) if line.text)
    return Card(docname, title, head.KIND, str(head.id), *about, lines)


def _rules_card(manual: Manual, docname: str) -> Card | None:
    page = f"{docname}.md"
    own = manual.entities_on(page).values() if page in manual.contents else ()
    rules = [each.name for each in own if isinstance(each, Rule)]
    if not rules:
        return None
    title = manual.contents[page].page.title or docname
    lines = (Line("", _counted(len(rules), "rule")), *(Line("", name) for name in rules))
    return Card(docname, title, Rule.KIND, "", "", "", "", lines)


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
        case Common():
            yield from _steps_lines(head, manual) if full else ()
        case DynoSession():
            yield from _session_lines(head, manual, full)


def _session_lines(session: DynoSession, manual: Manual, full: bool) -> Iterator[Line]:
    work = manual.head(Procedure, str(session.procedure)) if session.procedure else None
    if full:
        measured = measure(manual, session)
        yield Line("", headline(measured, units_of(manual, measured)))
        yield Line("Measured", session.date.isoformat() if session.date else "")
    if work:
        yield _to(work, manual)


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


def _work_lines(head: Procedure, manual: Manual) -> Iterator[Line]:
    work, *hazards = _steps_lines(head, manual)
    reviewed = f", reviewed {head.reviewed.isoformat()}" if head.reviewed else ""
    yield work
    yield Line("Revision", f"{head.revision}{reviewed}")
    yield from hazards


def _steps_lines(head: Procedure | Common, manual: Manual) -> Iterator[Line]:
    """How much work the steps are, and the grave hazards that they meet."""
    uses = uses_of(manual.plan(head))
    seconds = sum(each.step.time.si for each in uses.steps if each.step.time is not None)
    people = max((each.step.people for each in uses.steps), default=1)
    work = [_counted(len(uses.steps), "step"), duration_text(seconds) if seconds else ""]
    work += [f"{people} people" if people > 1 else ""]
    yield Line("", " · ".join(filter(None, work)))
    hazards = [
        (str(met.hazard.signal), f"{met.hazard.name}{f' ({met.when})' if str(met.when) else ''}")
        for met in hazards_met(uses)
    ]
    for word in GRAVE:
        yield Line(word, ", ".join(name for each, name in hazards if each == word))


def _counted(number: int, name: str) -> str:
    return f"{number} {name}{'' if number == 1 else 's'}"


def docname_of(head: Entity) -> str:
    """Return the page that a head stands on, as Sphinx names it."""
    return head.place.page.removesuffix(".md")
