"""Workbooks: the values of their sheets, never a formula or a macro; their size is bounded."""

from __future__ import annotations

import datetime
import io
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from procedures_lib.findings import SlipError
from procedures_lib.fronts.cli.taking_over.package import CHECK, Marks, bytes_of, scan
from procedures_lib.fronts.cli.taking_over.sheet import (
    EMPTY,
    MOST_COLUMNS,
    MOST_ROWS,
    Cell,
    Row,
    Sheet,
    column_name,
    plain,
    text_cell,
)

MOST_SHEETS = 200
MOST_FILLED = 200_000
"""So many cells at most get the text of the merged cell that they are part of."""
_ONLY_ZEROS = re.compile(r'^"?(0{2,15})"?$')


def read_workbook(path: Path, only: str | None) -> list[Sheet]:
    """Return the sheets of an .xlsx or .xlsm file: all that can be seen, or the one named.

    SlipError ``unreadable-sheet`` for a file with a password, of another kind, too large, or
    damaged, and for a name that no sheet has.
    """
    raw = bytes_of(path)
    try:
        marks = scan(raw)
        return list(_sheets(path.name, raw, marks, only))
    except SlipError:
        raise
    except Exception as error:  # damaged in a way of its own; what raises is the library's affair
        said = f"{path.name} is damaged or no workbook: {type(error).__name__}"
        raise SlipError(CHECK, said, "open it, and save it anew as .xlsx or as CSV") from None


def _open(raw: bytes, values: bool) -> Any:
    import openpyxl  # noqa: PLC0415 - takes longer to load than most commands to run

    return openpyxl.load_workbook(
        io.BytesIO(raw), read_only=True, data_only=values, keep_links=False
    )


def _sheets(file: str, raw: bytes, marks: dict[str, Marks], only: str | None) -> Iterator[Sheet]:
    book = _open(raw, values=True)
    titles = [each.title for each in book.worksheets]
    if only is not None and only not in titles:
        named = ", ".join(f"`{title}`" for title in titles)
        raise SlipError(CHECK, f"{file} has no sheet `{only}`", f"its sheets are {named}")
    paths = {each._worksheet_path for each in book.worksheets}
    if len(titles) > MOST_SHEETS or len(paths) < len(titles):
        said = f"{file} has {len(titles)} sheets, or two that are one"
        raise SlipError(CHECK, said, "save the sheet that is wanted in a file of its own")
    formulas = _open(raw, values=False) if any(each.formulas for each in marks.values()) else None
    if file.lower().endswith(".xlsm"):
        yield Sheet(file, "", (), ("its macros are not read, and nothing of it is run",))
    for sheet in book.worksheets:
        if only is None and sheet.sheet_state != "visible":
            note = "the sheet is hidden, and not read: name it with --sheet to have it"
            yield Sheet(file, plain(sheet.title), (), (note,))
        elif only in (None, sheet.title):
            own = marks.get(sheet._worksheet_path.lstrip("/"), Marks())
            twin = formulas[sheet.title] if formulas is not None and own.formulas else None
            yield _read_sheet(file, sheet, twin, own)


def _read_sheet(file: str, sheet: Any, formulas: Any, marks: Marks) -> Sheet:
    notes = []
    rows = list(_rows(sheet, formulas))
    if len(rows) > MOST_ROWS and any(rows[MOST_ROWS:]):
        notes.append(f"rows after {MOST_ROWS:,} are not read")
    if any(len(row.cells) > MOST_COLUMNS for row in rows):
        notes.append(f"columns after {column_name(MOST_COLUMNS - 1)} are not read")
    rows, filled = _with_merged(rows[:MOST_ROWS], marks.merged)
    return Sheet(file, plain(sheet.title), tuple(filter(None, rows)), (*notes, *filled))


def _rows(sheet: Any, formulas: Any) -> Iterator[Row]:
    """Yield the rows, one more than are read at most; what a file says of its size may be wrong."""
    bounds = {"max_row": MOST_ROWS + 1, "max_col": MOST_COLUMNS + 1}
    twins = formulas.iter_rows(**bounds) if formulas is not None else None
    for number, cells in enumerate(sheet.iter_rows(**bounds), start=1):
        own = next(twins, ()) if twins is not None else ()
        shown = [EMPTY if cell.value is None else _cell(cell) for cell in cells]
        for n, twin in enumerate(own):
            if not shown[n] and twin.value is not None:
                shown[n] = Cell("", "a formula whose result the file does not hold")
        while shown and not shown[-1]:
            shown.pop()
        yield Row(number, tuple(shown))


def _cell(cell: Any) -> Cell:
    value = cell.value
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, int | float):
        return Cell(_number(value, cell.number_format or ""), number=True)
    if isinstance(value, datetime.datetime | datetime.date | datetime.time | datetime.timedelta):
        text = str(value).removesuffix(" 00:00:00")
        return Cell(text, f"a date, {text}, which the program may have made of something else")
    if getattr(cell, "data_type", "") == "e":
        return Cell("", f"the error {plain(str(value))}")
    return text_cell(str(value))


def _number(value: float, form: str) -> str:
    """A number as the sheet shows it, as far as a format of zeros alone decides it."""
    zeros = _ONLY_ZEROS.match(form)
    if zeros and value >= 0 and value == int(value):
        return str(int(value)).zfill(len(zeros[1]))
    if isinstance(value, int) or value == int(value):
        return str(int(value)) if abs(value) < 10**15 else f"{value:.15g}"
    return f"{value:.12g}"


def _with_merged(
    rows: Sequence[Row], merged: Sequence[tuple[int, int, int, int]]
) -> tuple[list[Row], list[str]]:
    """Return the rows with the text of merged cells in each row that they go over.

    Beside their first column they stay empty, so that a title over a table is one cell.
    """
    cells = {row.number: list(row.cells) for row in rows} if merged else {}
    notes, most, room = [], max(cells, default=0), MOST_FILLED
    for column, top, right, bottom in merged:
        first = cells.get(top, [])
        text = first[column] if column < len(first) else EMPTY
        last = min(bottom, most, top + room)
        if not text or bottom == top:
            continue
        room -= last - top
        for number in range(top + 1, last + 1):
            own = cells[number]
            own += [EMPTY] * (column + 1 - len(own))
            own[column] = own[column] or text
        span = f"{column_name(column)}{top}:{column_name(right)}{bottom}"
        whole = "for each of its rows" if last == min(bottom, most) else f"down to row {last}"
        notes.append(f"{span} is one merged cell: “{text.text}” is read {whole}")
    new = [Row(row.number, tuple(cells.get(row.number, row.cells))) for row in rows]
    return new, notes
