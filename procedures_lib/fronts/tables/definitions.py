"""What a page defines, as tables, and double entry beside what the block says."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from procedures_lib.fronts.tables.table import (
    Cell,
    Column,
    Row,
    Table,
    cell,
    joined,
    thing_cell,
    tight_cell,
)
from procedures_lib.fronts.tables.words import setting_text
from procedures_lib.judging.witness import Number
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import Hazard
from procedures_lib.language.entities.printed import PRINTED_OF, field_value, paths_of, shown
from procedures_lib.language.entities.work import Expect, ExpectRow
from procedures_lib.manual import Scope
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.view.joint import order_text
from procedures_lib.view.step import thing_named

_NAME = Column("name", "Name")
_NOTE = Column("note", "Note")
_COLUMNS = {
    "parts": (_NAME, Column("held-by", "Held by"), Column("on", "On"),
              Column("behind", "Behind"), Column("number", "Number"), _NOTE),
    "connections": (_NAME, Column("kind", "Kind"), Column("between", "Between"),
                    Column("holders", "Held by"), Column("carries", "Carries"), _NOTE),
    "openings": (_NAME, Column("exposed-by", "Exposed by"), _NOTE),
    "fasteners": (_NAME, Column("count", "Count"), Column("thread", "Thread"),
                  Column("head", "Head"), Column("stages", "Tighten"), Column("order", "Order"),
                  Column("condition", "Threads are"), Column("reuse", "Re-use"),
                  Column("source", "Source"), _NOTE),
    "fluids": (_NAME, Column("quantity", "Quantity"), Column("spec", "Specification"),
               Column("drain", "Drain"), Column("fill", "Fill"), _NOTE),
    "hazards": (_NAME, Column("signal", "Signal word"), Column("harm", "What can happen"),
                Column("avoid", "How to avoid it"), Column("called-by", "Called for by"),
                Column("made-safe-by", "Made safe by"), Column("gear", "Not without")),
}  # fmt: skip


def definition_table(block: str, entities: Iterable[Entity], scope: Scope) -> Table:
    """Return the table of a data block (``parts``, ``fasteners`` …) and its entities."""
    rows = tuple(
        Row(_cells(entity, scope), f"definition:{entity.id}", str(getattr(entity, "when", "")))
        for entity in entities
    )
    table = Table(block, humanised(block), _COLUMNS[block], rows)
    return table.without_empty_columns()


def _cells(entity: Entity, scope: Scope) -> tuple[Cell, ...]:
    name = cell(name_of(entity, scope))
    found: tuple[Cell, ...] = (name,)
    match entity:
        case Part():
            found = _part(entity, name, scope)
        case Connection():
            found = _connection(entity, name, scope)
        case Opening():
            found = (name, _links(entity.exposed_by, scope), _note(entity, scope))
        case Fastener():
            found = _fastener(entity, name, scope)
        case Fluid():
            found = _fluid(entity, name)
        case Hazard():
            found = _hazard(entity, name, scope)
    return found


def _part(part: Part, name: Cell, scope: Scope) -> tuple[Cell, ...]:
    return (
        _counted(part.count, name),
        _links(part.held_by, scope),
        _links([part.on] if part.on else [], scope),
        _links(part.behind, scope),
        cell(part.number),
        _note(part, scope),
    )


def _connection(connection: Connection, name: Cell, scope: Scope) -> tuple[Cell, ...]:
    return (
        _counted(connection.count, name),
        cell(connection.kind),
        _links(connection.between, scope),
        _links(connection.holders, scope),
        cell(connection.carries or ""),
        _note(connection, scope),
    )


def _fluid(fluid: Fluid, name: Cell) -> tuple[Cell, ...]:
    amount = fluid.quantity.tidy if fluid.quantity else ""
    said = (amount, fluid.spec, ", ".join(fluid.drain), ", ".join(fluid.fill), fluid.note)
    return (name, *map(cell, said))


def _hazard(hazard: Hazard, name: Cell, scope: Scope) -> tuple[Cell, ...]:
    said = (hazard.signal, hazard.harm, hazard.avoid)
    gear = ", ".join((*hazard.protection, *hazard.tools))
    called = _links(hazard.called_by, scope)
    return (name, *map(cell, said), called, cell(hazard.made_safe_by), cell(gear))


def _fastener(fastener: Fastener, name: Cell, scope: Scope) -> tuple[Cell, ...]:
    thread = fastener.thread.written if fastener.thread else ""
    adapter = f"{fastener.adapter.tidy} adapter" if fastener.adapter else ""
    head = ", ".join(text for text in (fastener.head, fastener.reach, adapter) if text)
    return (
        name,
        cell(f"{fastener.count} ×"),
        cell(", ".join(text for text in (thread, fastener.class_text) if text)),
        cell(head),
        tight_cell(fastener) if fastener.how_tight else Cell(),
        cell(order_text(fastener)),
        cell(fastener.condition or ""),
        cell("" if fastener.reusable else "new every time"),
        cell(fastener.source),
        _note(fastener, scope),
    )


def _note(thing: Part | Connection | Opening | Fastener, scope: Scope) -> Cell:
    """What else a technician must know of a thing: how it is reached and held, and its note."""
    said: list[Cell] = []
    if isinstance(thing, Fastener) and thing.with_:
        does = "locks " if thing.locks else "goes on over "
        said.append(joined([cell(does), _links(thing.with_, scope)], ""))
    if isinstance(thing, Part):
        said += [cell(thing.mass.tidy)] if thing.mass else []
        said += [cell("held while it comes off and goes on")] if thing.is_heavy else []
    if not isinstance(thing, Opening) and (to := getattr(thing, "setting", "")):
        said.append(cell(f"set {setting_text(to)}"))
    for says, names in (("hidden by ", "hidden_by"), ("shuts for good ", "closes")):
        if named := getattr(thing, names, ()):
            said.append(joined([cell(says), _links(named, scope)], ""))
    said += [cell("reached from below")] if thing.reached_from else []
    return joined([*said, *([cell(thing.note)] if thing.note else [])], "; ")


def _counted(count: int, name: Cell) -> Cell:
    return joined([cell(f"{count} × "), name], "") if count > 1 else name


def _links(names: Iterable[str], scope: Scope) -> Cell:
    """The names of things, linked where a page defines them; free words as they are."""

    return joined(thing_cell(thing_named(str(name), scope)) for name in names)


_EXPECTED_COLUMNS = (
    Column("what", "What"),
    Column("printed", "The source prints"),
    Column("block", "This manual says"),
)


def expect_table(expect: Expect, scope: Scope) -> Table:
    """Return the rows of a block of double entry."""
    rows = tuple(_row(row, scope) for row in expect.rows)
    return Table("expect", expect.source, _EXPECTED_COLUMNS, rows)


def _row(row: ExpectRow, scope: Scope) -> Row:
    entity = scope.get(row.id)
    if entity is None or entity.KIND not in row.kinds:
        return Row((cell(humanised(row.id)), cell(row.text), Cell()))
    said = ", ".join(filter(None, _said(entity, row)))
    return Row((cell(name_of(entity, scope), f"definition:{row.id}"), cell(row.text), cell(said)))


def _said(entity: Entity, row: ExpectRow) -> Iterator[str]:
    """Yield what the block says of all that the row prints."""
    paths = paths_of(entity.KIND) if entity.KIND in PRINTED_OF else {}
    for printed in row.printed:
        if printed.name in paths:
            value = field_value(entity, paths[printed.name])
            yield shown(value) if printed.name == "quantity" else f"{printed.name} {shown(value)}"
    if isinstance(entity, Fastener) and row.how_tight:
        yield entity.how_tight.written()
    if isinstance(entity, Fastener) and row.order:
        yield f"order {', '.join(entity.order)}"


# -- witnesses -------------------------------------------------------------------------------------

_WITNESS_COLUMNS = (
    Column("place", "Where"),
    Column("thing", "What"),
    Column("field", "Field"),
    Column("value", "Value"),
    Column("source", "Source"),
    Column("witness", "Witness"),
)


def witness_table(numbers: Iterable[Number]) -> Table:
    """Return numbers with their witnesses, for a writer."""
    return Table("witness", "Numbers and their witnesses", _WITNESS_COLUMNS, tuple(
        Row(tuple(map(cell, (str(number.place), number.thing, number.name, number.value,
                             number.source, witness_text(number)))), when=number.cars)
        for number in numbers
    ))  # fmt: skip


def witness_text(number: Number) -> str:
    """Return the witness of a number in words: ``double entry, procedures/fit.md:12``; ``none``."""
    return ", ".join(filter(None, (number.witness or "none", number.by)))
