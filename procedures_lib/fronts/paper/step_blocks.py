"""Steps and tables on paper, with tick boxes and room to write."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, zip_longest

from procedures_lib.fronts.paper.blocks import BODY, SMALL, beside, shifted, signal_pieces, tick
from procedures_lib.fronts.paper.card_lists import CardStep
from procedures_lib.fronts.paper.marks import (
    LEADING,
    Block,
    Line,
    Mark,
    Piece,
    Rule,
    Runs,
    printable,
    set_lines,
    space,
    text_pieces,
    width_of,
)
from procedures_lib.fronts.tables.table import Table
from procedures_lib.fronts.tables.words import Doing

Cell = Sequence[tuple[str, bool]]


MARGIN = 24.0
"""From the left edge to the text of a step; the tick box stands in it."""

_TITLE = 11.0
_BOX = 15.0
_INDENT = 10.0


def step_block(step: CardStep, width: float) -> Block:
    """Return a step: kept on one page if a page holds it, its head and hazards in any case."""
    inner = width - MARGIN
    head = _head(step, inner)
    rest = [piece for doing in step.doings for piece in _doing(doing, inner)]
    if step.drawings:
        numbers = ", ".join(map(str, step.drawings))
        rest += text_pieces([(f"Order: see drawing {numbers}", False)], SMALL, inner, _INDENT)
    for text in step.prose:
        rest += [space(1.5), *text_pieces([(text, False)], SMALL, inner)]
    pieces = [shifted(piece, MARGIN) for piece in (*head, *rest)]
    pieces[0] = beside(pieces[0], tick(0, 2.0, _BOX))
    if len(pieces) == 1:
        pieces.append(space(4.0))
    top = beside(space(4.0), Rule(0, 1, width, 1, 0.3))
    again = text_pieces([(f"{step.number} ", True), ("(continued)", False)], SMALL, inner)[0]
    return Block((top, *pieces, space(5.0)), 1 + len(head) + (1 if rest else 0),
                 shifted(again, MARGIN))  # fmt: skip


def _head(step: CardStep, width: float) -> list[Piece]:
    head = text_pieces([(f"{step.number}  ", True), (step.title, True)], _TITLE, width)
    if step.only:
        head += text_pieces([("Only: ", True), (step.only, True)], BODY, width)
    if step.facts:
        said = " · ".join(f"{label}: {text}" for label, text in step.facts)
        head += text_pieces([(said, False)], SMALL, width)
    head.append(space(2.0))
    for signal in step.signals:
        head += signal_pieces(signal, width)
    return head


def _doing(doing: Doing, width: float) -> list[Piece]:
    runs = [(f"{doing.verb} ", True), (doing.name, False)]
    if doing.torque:
        runs += [(": ", False), (doing.torque, True)]
    if doing.only:
        runs.append((f"  (only: {doing.only})", True))
    lines = text_pieces(runs, BODY, width - _INDENT, _INDENT)
    bullet = text_pieces([("•", False)], BODY, _INDENT, 1.0)[0]
    return [beside(lines[0], *bullet.marks), *lines[1:]]


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
