"""Double entry as a table: what the source prints beside what the block says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Fluid, Part
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.tables.table import Column, Row, Table, cell

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.work import Expect, ExpectRow
    from procedures_lib.manual import Scope

_COLUMNS = (
    Column("what", "What"),
    Column("printed", "The source prints"),
    Column("block", "This manual says"),
)


def expect_table(expect: Expect, scope: Scope) -> Table:
    """Return the rows of a block of double entry."""
    rows = tuple(_row(row, scope) for row in expect.rows)
    return Table("expect", expect.source, _COLUMNS, rows)


def _row(row: ExpectRow, scope: Scope) -> Row:
    entity = scope.get(row.id)
    name = name_of(entity, scope) if entity else humanised(row.id)
    said = ""
    if isinstance(entity, Fastener):
        said = ", ".join(_said(entity, row))
    elif isinstance(entity, Part | Connection):
        said = f"count {entity.count}"
    elif isinstance(entity, Fluid) and entity.quantity:
        said = entity.quantity.canonical()
    return Row((cell(name, f"definition:{row.id}"), cell(row.text), cell(said)))


def _said(fastener: Fastener, row: ExpectRow) -> Iterator[str]:
    """Yield what the block says of all that the row prints."""
    if row.thread is not None and fastener.thread:
        yield f"thread {fastener.thread.written}"
    if row.grade:
        yield f"class {fastener.class_}"
    if row.count is not None:
        yield f"count {fastener.count}"
    if row.stages:
        yield from (stage.written() for stage in fastener.tighten)
    if row.order:
        yield f"order {', '.join(fastener.order)}"
