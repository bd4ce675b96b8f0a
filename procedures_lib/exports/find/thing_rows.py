"""Rows about things: fasteners, parts, connections, openings, fluids, and a kit's contents."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Fluid, Opening, Part
from procedures_lib.entities.kit import Kit
from procedures_lib.exports.find.row import Row, key_of
from procedures_lib.exports.find.terms import terms_of, terms_of_all
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.tables.torque import TORQUE_UNITS, stages_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.base import Entity
    from procedures_lib.entities.kit import ContentItem
    from procedures_lib.manual import Manual, Scope

Thing = Fastener | Part | Connection | Opening | Fluid

_LETTERS: dict[type[Entity], str] = {
    Fastener: "f",
    Part: "p",
    Connection: "c",
    Opening: "p",
    Fluid: "l",
}
_ITEM_LETTERS = {"fastener": "f", "part": "p", "connection": "c", "tool": "t"}


def thing_row(thing: Thing, manual: Manual, scope: Scope, target: str) -> Row:
    """Return the row of a thing, the same on every page but for its place."""
    key = ("find thing", thing.place.page, thing.id)
    return manual.once(key, lambda: _thing_row(thing, manual, scope))._replace(target=target)


def _thing_row(thing: Thing, manual: Manual, scope: Scope) -> Row:
    home = thing.place.page
    name = name_of(thing, scope)
    number = number_of(thing, manual)
    strong = [name, number, thing.id, *_strong(thing)]
    weak = [getattr(thing, "note", ""), getattr(thing, "kind", ""), *_weak(thing)]
    return Row(
        _LETTERS[type(thing)],
        key_of(home, thing.id),
        name,
        "",
        _shown(thing, number),
        str(getattr(thing, "when", "")),
        terms_of_all(strong),
        (*terms_of_all(weak), *owner_terms(manual, home)),
    )


def item_row(item: ContentItem, home: str, manual: Manual, scope: Scope) -> Row:
    """Return the row of a line of a kit's packing list."""
    entity = scope.get(item.what) if item.kind in {"part", "fastener", "connection"} else None
    target = f"item:{item.number}" if item.number else ""
    if isinstance(entity, Fastener | Part | Connection) and entity.place.page == home:
        return thing_row(entity, manual, scope, target or f"definition:{entity.id}")
    name = item.name or (name_of(entity, scope) if entity else item.what)
    counted = f"{item.count} ×" if item.count > 1 else item.packed if item.amount else ""
    return Row(
        _ITEM_LETTERS.get(item.kind, "u"),
        key_of(home, f"item {item.number or item.what}"),
        name,
        target,
        ", ".join(filter(None, (item.number, counted))),
        str(item.when),
        terms_of_all((name, item.number)),
        (*terms_of(item.note), *owner_terms(manual, home)),
    )


def calibration_rows(kit: Kit, manual: Manual) -> Iterator[Row]:
    """Yield a row for each calibration that a kit needs."""
    page = kit.place.page
    for option, number in kit.needs.calibration:
        name = f"Calibration for {option}" if option else "Calibration"
        terms = terms_of_all((name, number))
        key = key_of(page, f"calibration {number}")
        yield Row("p", key, name, "", number, strong=terms, weak=owner_terms(manual, page))


def number_of(thing: Thing, manual: Manual) -> str:
    """The part number of a thing: its own, or that of its line in the kit's packing list."""
    own = str(getattr(thing, "number", ""))
    return own or _numbers(manual, thing.place.page).get(thing.id, "")


def _numbers(manual: Manual, page: str) -> dict[str, str]:
    def collect() -> dict[str, str]:
        kits = [e for e in manual.entities_on(page).values() if isinstance(e, Kit)]
        return {item.what: item.number for kit in kits for item in kit.contents if item.number}

    return manual.once(("find numbers", page), collect)


def owner_terms(manual: Manual, page: str) -> tuple[str, ...]:
    """The terms of the cars and kits that a page is about."""

    def collect() -> tuple[str, ...]:
        heads = [e for e in manual.entities_on(page).values() if e.KIND in {"vehicle", "kit"}]
        return terms_of_all(text for e in heads for text in (getattr(e, "name", ""), e.id))

    return manual.once(("find owner", page), collect)


def _strong(thing: Thing) -> list[str]:
    if isinstance(thing, Fastener):
        thread = thing.thread.written if thing.thread else ""
        return [thread, stages_text(thing), *(stages_text(thing, unit) for unit in TORQUE_UNITS)]
    if isinstance(thing, Fluid) and thing.quantity:
        return [thing.quantity.canonical(), thing.spec]
    return []


def _weak(thing: Thing) -> list[str]:
    if isinstance(thing, Fastener):
        return [thing.head, thing.class_, thing.reach, thing.condition or ""]
    if isinstance(thing, Fluid):
        return [thing.spec, thing.drain, thing.fill]
    if isinstance(thing, Connection):
        return [humanised(str(end)) for end in thing.between]
    return []


def _shown(thing: Thing, number: str) -> str:
    said: list[str] = []
    if isinstance(thing, Fastener):
        thread = thing.thread.written if thing.thread else ""
        counted = f"{thing.count} × {thread or thing.kind}"
        said = [stages_text(thing), counted if thread or thing.count > 1 else ""]
    elif isinstance(thing, Fluid):
        said = [thing.quantity.canonical() if thing.quantity else "", thing.spec]
    elif isinstance(thing, Connection):
        said = [thing.kind]
    return ", ".join(filter(None, (*said, number)))
