"""Tables on paper: a tick box before each row, and empty columns to write in."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate, zip_longest
from typing import TYPE_CHECKING

from procedures_lib.exports.pdf.blocks import SMALL, tick
from procedures_lib.exports.pdf.fonts import printable, width_of
from procedures_lib.exports.pdf.marks import Block, Line, Piece, Rule
from procedures_lib.exports.pdf.setting import LEADING, set_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from procedures_lib.exports.pdf.marks import Mark, Runs
    from procedures_lib.tables.table import Table

    Cell = Sequence[tuple[str, bool]]

_GAP = 6.0
_BOX_ROOM = 18.0
_LEAST_ROW = 14.0
_SLICE = 24
"""A row of more lines than this is parted, so that no row is higher than a page."""


@dataclass(frozen=True, slots=True)
class Col:
    """A column: ``width`` in points, 0 to share what is left; empty ones are ruled to write in."""

    label: str
    width: float = 0.0
    ruled: bool = False


def table_block(table: Table, width: float) -> Block | None:
    """Return a table with a tick box before each row; None when it has no rows."""
    if not table.rows:
        return None
    kept = table.without_empty_columns()
    rows = []
    for row in kept.rows:
        cells: list[Cell] = [[(cell.text, False)] for cell in row.cells]
        if row.when:
            cells[0] = [*cells[0], (f"\nonly: {row.when}", True)]
        rows.append(cells)
    cols = [Col(column.label) for column in kept.columns]
    return rows_block(cols, rows, width)


def rows_block(
    cols: Sequence[Col],
    rows: Sequence[Sequence[Cell]],
    width: float,
    least: float = _LEAST_ROW,
    boxes: bool = True,
) -> Block:
    """Return rows under their header, which stands again on each page; a tick box before each."""
    first = _BOX_ROOM if boxes else 0.0
    widths = _widths(cols, rows, width - first)
    lefts = list(accumulate(widths, initial=first))[: len(cols)]
    header = _header(cols, lefts, widths, width)
    pieces = [header]
    for row in rows:
        lines = [
            set_lines(cell, SMALL, wide - _GAP) for cell, wide in zip(row, widths, strict=True)
        ]
        pieces += _row(lines, cols, lefts, width, least)
    return Block((*pieces, Piece(6.0)), 3, header, loose=True)


def _widths(cols: Sequence[Col], rows: Sequence[Sequence[Cell]], room: float) -> list[float]:
    """Share the room: narrow columns take what they need, the others share the rest."""
    wanted = [_wanted(n, col, rows) for n, col in enumerate(cols)]
    widths = [col.width for col in cols]
    left = room - sum(widths)
    open_ = [n for n, col in enumerate(cols) if not col.width]
    while open_:
        fair = left / len(open_)
        narrow = [n for n in open_ if wanted[n] <= fair]
        if not narrow:
            for n in open_:
                widths[n] = fair
            return widths
        for n in narrow:
            widths[n] = wanted[n]
            left -= wanted[n]
        open_ = [n for n in open_ if n not in narrow]
    return widths


def _wanted(n: int, col: Col, rows: Sequence[Sequence[Cell]]) -> float:
    texts = [[(col.label, True)], *(row[n] for row in rows)]
    return max(
        width_of(line, SMALL, True)
        for runs in texts
        for line in printable("".join(text for text, _ in runs)).split("\n")
    ) + _GAP + 1  # fmt: skip


def _header(
    cols: Sequence[Col], lefts: Sequence[float], widths: Sequence[float], width: float
) -> Piece:
    lines = [
        set_lines([(col.label, True)], SMALL, wide - _GAP)[:2]
        for col, wide in zip(cols, widths, strict=True)
    ]
    marks = _texts(lines, lefts, 1.0)
    height = max(map(len, lines)) * SMALL * LEADING + 4
    return Piece(height, (*marks, Rule(0, height - 1, width, height - 1, 0.9)))


def _row(
    lines: Sequence[Sequence[Runs]],
    cols: Sequence[Col],
    lefts: Sequence[float],
    width: float,
    least: float,
) -> list[Piece]:
    slices = []
    deepest = max(map(len, lines))
    for start in range(0, deepest, _SLICE):
        part = [column[start : start + _SLICE] for column in lines]
        text = max(map(len, part)) * SMALL * LEADING + 5
        last = start + _SLICE >= deepest
        height = max(text, least if start == 0 and last else 0.0)
        marks = _texts(part, lefts, 2.0)
        if start == 0 and lefts[0]:
            marks.append(tick(2.0, 2.5, 9.0))
        marks += [
            Rule(x - _GAP / 2, 0, x - _GAP / 2, height, 0.3)
            for col, x in zip(cols, lefts, strict=True)
            if col.ruled
        ]
        if last:
            marks.append(Rule(0, height, width, height, 0.3))
        slices.append(Piece(height, tuple(marks)))
    return slices


def _texts(lines: Sequence[Sequence[Runs]], lefts: Sequence[float], top: float) -> list[Mark]:
    return [
        Line(x, top + SMALL * (0.95 + n * LEADING), line, SMALL)
        for n, row in enumerate(zip_longest(*lines, fillvalue=()))
        for x, line in zip(lefts, row, strict=True)
        if line
    ]
