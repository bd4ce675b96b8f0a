"""The tables of a sheet: where each begins, what its columns hold, what kind of list it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from procedures_lib.fronts.cli.taking_over.cells import lost_zeros
from procedures_lib.fronts.cli.taking_over.columns import (
    NAMES,
    Column,
    columns_of,
    is_heading_row,
    loosely,
)
from procedures_lib.fronts.cli.taking_over.sheet import EMPTY, Cell, Row, Sheet

KINDS = {
    "torque": "torque list",
    "packing": "packing list",
    "tools": "tool list",
    "fluids": "fluid list",
    "steps": "step list",
    "": "list of no known kind",
}
"""The kinds of list, with what they are called."""

_JOINT = {"thread", "class", "head", "condition", "source"}
TAKEN = {
    "torque": {*NAMES, *_JOINT, "count", "torque", "angle", "number", "note", "unit"},
    "packing": {*NAMES, *_JOINT, "torque", "angle", "count", "number", "note", "unit"},
    "tools": {*NAMES},
    "fluids": {*NAMES, "volume", "count", "unit", "spec", "note"},
    "steps": {"step"},
}
"""The roles whose cells are taken over, by the kind of list."""


@dataclass(frozen=True, slots=True)
class Left:
    """A row that was not taken over, and why; ``title`` tells that nothing is lost by it."""

    where: str
    number: int
    why: str
    title: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table: its columns, its rows of data, each with the title above it, and what was left.

    ``digits`` is how many the part numbers have that kept their zeros in front; 0 if none did.
    """

    sheet: Sheet
    heading: Row | None
    columns: tuple[Column, ...]
    rows: tuple[tuple[Row, str], ...]
    left: tuple[Left, ...] = field(default=())
    digits: int = 0

    @property
    def kind(self) -> str:
        """What kind of list it is, one of ``KINDS``."""
        roles = {column.role for column in self.columns}
        if "step" in roles:
            return "steps"
        if "torque" in roles and roles.intersection(NAMES):
            return "torque"
        if "fluid-name" in roles or ("volume" in roles and "count" not in roles):
            return "fluids" if roles.intersection(NAMES) else ""
        if "tool-name" in roles:
            return "tools"
        return "packing" if "name" in roles and roles & {"number", "count"} else ""

    @property
    def is_of_a_box(self) -> bool:
        """Whether it can be a packing list: torques may stand in one too."""
        roles = {column.role for column in self.columns}
        return "name" in roles and "number" in roles and "step" not in roles

    @property
    def size(self) -> int:
        """How many rows came in: those of data, and those that were left."""
        return len(self.rows) + len(self.left)

    def cells(self, row: Row, role: str) -> list[tuple[Cell, Column]]:
        """The cells of a row in the columns of a role."""
        return [(row.cell(each.index), each) for each in self.columns if each.role == role]

    def cell(self, row: Row, role: str) -> Cell:
        """The cell of a row in the column of a role; an empty one where there is none."""
        return next((cell for cell, _ in self.cells(row, role)), EMPTY)

    def name(self, row: Row) -> Cell:
        """The cell that names the thing of a row."""
        return next((self.cell(row, role) for role in NAMES if self.cell(row, role)), EMPTY)


def tables_of(sheet: Sheet) -> list[Table]:
    """Return the tables of a sheet, one below another or side by side."""
    starts = [n for n, row in enumerate(sheet.rows) if is_heading_row(row)]
    starts = starts or _loose_start(sheet)
    ends = [*starts[1:], len(sheet.rows)]
    if not starts:
        width = max((len(row.cells) for row in sheet.rows), default=0)
        return [_table(sheet, None, sheet.rows, range(width))] if sheet.rows else []
    found: list[Table] = []
    for n, (start, end) in enumerate(zip(starts, ends, strict=True)):
        above = sheet.rows[:start] if n == 0 else ()
        heading, below = sheet.rows[start], sheet.rows[start + 1 : end]
        width = max(len(row.cells) for row in sheet.rows[start:end])
        for k, span in enumerate(_spans(heading, width)):
            found.append(_table(sheet, heading, below, span, () if k else above))
    return found


def _loose_start(sheet: Sheet) -> list[int]:
    """The first row of more than one cell, if it can be taken for headings by a word of each."""
    wide = (n for n, row in enumerate(sheet.rows) if sum(map(bool, row.cells)) > 1)
    first = next(wide, None)
    found = first is not None and is_heading_row(sheet.rows[first], loosely)
    return [first] if first is not None and found else []


def _spans(heading: Row, width: int) -> Iterator[range]:
    """Yield where tables stand side by side below a row of headings; one range for one table."""
    runs: list[list[int]] = []
    for n, cell in enumerate(heading.cells):
        if cell and runs and runs[-1][-1] == n - 1:
            runs[-1].append(n)
        elif cell:
            runs.append([n])
    if len(runs) == 1:
        runs = _halves(heading, runs[0])
    whole = [run for run in runs if len({r for r in _roles(heading, run) if r}) >= 2]
    if len(whole) < 2:
        yield range(width)
        return
    for run, after in zip(whole, [*(each[0] for each in whole[1:]), width], strict=True):
        yield range(run[0] if run is not whole[0] else 0, after)


def _roles(heading: Row, run: Sequence[int]) -> list[str]:
    return [loosely(heading.cell(n).text).role for n in run]


def _halves(heading: Row, run: list[int]) -> list[list[int]]:
    """Part a row of headings that says the same twice."""
    middle = len(run) // 2
    first, second = run[:middle], run[middle:]
    return [first, second] if _roles(heading, first) == _roles(heading, second) else [run]


def _table(
    sheet: Sheet, heading: Row | None, below: Sequence[Row], span: range, above: Sequence[Row] = ()
) -> Table:
    own = [row for row in below if any(row.cell(n) for n in span)]
    wide = [row for row in own if sum(bool(row.cell(n)) for n in span) > 1] or own
    columns = columns_of(heading, wide, span)
    left = [Left(sheet.where, row.number, "text above the table", True) for row in above]
    if heading:
        left.append(Left(sheet.where, heading.number, "the headings", True))
    rows: list[tuple[Row, str]] = []
    section = ""
    for row in own:
        cells = [row.cell(n) for n in span if row.cell(n)]
        if len(cells) == 1 and len(columns) > 1 and not cells[0].doubt:
            section = cells[0].text
            left.append(Left(sheet.where, row.number, "one cell alone: taken for a title", True))
        else:
            rows.append((row, section))
    numbers = [column.index for column in columns if column.role == "number"]
    digits = lost_zeros(row.cell(n) for n in numbers for row, _ in rows)
    return Table(sheet, heading, columns, tuple(rows), tuple(left), digits)
