"""Text files: CSV as a sheet, with its delimiter found out; step lists as numbered lines."""

from __future__ import annotations

import csv
import io
from collections import Counter
from pathlib import Path

from procedures_lib.findings import SlipError
from procedures_lib.fronts.cli.taking_over.sheet import (
    MOST_COLUMNS,
    MOST_ROWS,
    Row,
    Sheet,
    text_cell,
)

MOST_BYTES = 20_000_000
_CHECK = "unreadable-sheet"
_DELIMITERS = ",;\t|"
_SAMPLE = 200
_WIDE = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}
_LONGEST_FIELD = 100_000


def read_text(path: Path) -> tuple[str, tuple[str, ...]]:
    """Return the text of a file, and what is to be said of how it was read.

    UTF-8, UTF-16 with its mark, else Windows-1252. SlipError ``unreadable-sheet`` for a file that
    is too large, or that is no text.
    """
    with path.open("rb") as file:
        raw = file.read(MOST_BYTES + 1)
    if len(raw) > MOST_BYTES:
        raise SlipError(_CHECK, f"{path.name} has more than {MOST_BYTES:,} bytes", "split it")
    notes: tuple[str, ...] = ()
    try:
        text = raw.decode(_WIDE.get(raw[:2], "utf-8-sig"))
    except UnicodeDecodeError:
        text = raw.decode("cp1252", "replace")
        notes = ("the text is not UTF-8: read as Windows-1252, look at signs such as ° and ·",)
    if "\x00" in text:
        said = f"{path.name} is no text"
        raise SlipError(_CHECK, said, "give a .xlsx or .xlsm workbook, CSV, or a text file")
    return text.replace("\r\n", "\n").replace("\r", "\n"), notes


def read_csv(path: Path) -> Sheet:
    """Return a CSV file as a sheet without a name; rows count from 1 as a spreadsheet counts."""
    text, notes = read_text(path)
    csv.field_size_limit(_LONGEST_FIELD)
    rows: list[Row] = []
    number = 0
    try:
        for number, fields in enumerate(
            csv.reader(io.StringIO(text), delimiter=_delimiter(text)), 1
        ):
            if number > MOST_ROWS:
                notes += (f"rows after {MOST_ROWS:,} are not read",)
                break
            if len(fields) > MOST_COLUMNS:
                notes += (f"row {number} has {len(fields)} columns: {MOST_COLUMNS} are read",)
            rows.append(Row(number, tuple(text_cell(each) for each in fields[:MOST_COLUMNS])))
    except csv.Error as error:
        raise SlipError(_CHECK, f"{path.name}, row {number + 1}: {error}", "mend the row") from None
    return Sheet(path.name, "", tuple(filter(None, rows)), notes)


def _delimiter(text: str) -> str:
    """The sign that parts most lines into the same number of fields, more than one."""
    lines = [line for line in text.split("\n", _SAMPLE)[:_SAMPLE] if line.strip()]

    def even(sign: str) -> tuple[int, int]:
        counts = Counter(line.count(sign) for line in lines if sign in line)
        times, lines_alike = counts.most_common(1)[0] if counts else (0, 0)
        return lines_alike, times

    best = max(_DELIMITERS, key=even)
    return best if even(best)[0] else ","
