"""A visit as a table: every step in its place, where it is written, and what it serves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.quantities import NO_BREAK_SPACE
from procedures_lib.tables.table import Cell, Column, Row, Table, cell, joined

if TYPE_CHECKING:
    from collections.abc import Mapping

    from procedures_lib.walk.combining import Visit, Visited

_COLUMNS = (
    Column("number", "Step"),
    Column("title", "Work"),
    Column("from", "Written at"),
    Column("time", "Time"),
    Column("shared", "Shared"),
)


def visit_table(visit: Visit, titles: Mapping[str, str]) -> Table:
    """Return the steps of a visit; ``titles`` are those of its procedures, by id."""
    rows = tuple(_row(each, titles) for each in visit.steps)
    return Table("visit", "One order for the visit", _COLUMNS, rows)


def _row(visited: Visited, titles: Mapping[str, str]) -> Row:
    step = visited.step.step
    number = str(visited.step.number)
    time = step.time.canonical() if step.time else ""
    shared = f"once for {len(visited.at)} procedures" if visited.shared else ""
    cells = (
        cell(number),
        cell(step.title),
        joined(_written_at(name, at, titles) for name, at in visited.at),
        cell(time),
        cell(shared),
    )
    return Row(cells, f"visit:{number}", str(visited.step.when))


def _written_at(name: str, number: int, titles: Mapping[str, str]) -> Cell:
    text = f"{titles.get(name, name)}, step{NO_BREAK_SPACE}{number}"
    return cell(text, f"step of {name}:{number}")
