"""A table as plain text, and as CSV (RFC 4180)."""

from __future__ import annotations

import csv
import io
import textwrap
import unicodedata

from procedures_lib.engineering.quantities import NO_BREAK_SPACE
from procedures_lib.fronts.tables.table import Table


def spaced(text: str) -> str:
    """Return the text with plain spaces, so that a search for "10 N·m" finds it."""
    return text.replace(NO_BREAK_SPACE, " ")


def width_of(text: str) -> int:
    """Return how many columns of a terminal a text takes (Unicode annex 11: wide ones take two)."""
    return sum(_width(sign) for sign in text)


def _width(sign: str) -> int:
    if unicodedata.combining(sign):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in {"W", "F"} else 1


_STARTS_FORMULA = tuple("=+-@\t\r\n＝＋－＠")
_TEXT_MARK = "'"


def csv_text(table: Table) -> str:
    """Return a table as CSV: comma, CRLF, the column keys as header, ``when`` as last column.

    A spreadsheet runs a cell that begins with ``=``, ``+``, ``-`` or ``@`` as a formula, and
    "+45°" is a stage. Such a cell gets an apostrophe in front, and so does one that begins with an
    apostrophe: whoever reads the file with a program takes one leading apostrophe off every cell
    that has one.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([*(column.key for column in table.columns), "when"])
    for record in table.records():
        writer.writerow([guarded(spaced(text)) for text in record.values()])
    return out.getvalue()


def guarded(text: str) -> str:
    """Return a cell that a spreadsheet takes as text (the signs are those that OWASP lists)."""
    risky = text.lstrip(" ").startswith(_STARTS_FORMULA) or text.startswith(_TEXT_MARK)
    return _TEXT_MARK + text if risky else text


_GAP = "  "
_NARROWEST = 20
NOTHING = "Nothing to list.\n"

Grid = list[list[str]]


def plain_text(table: Table, width: int | None = None) -> str:
    """Return a table as lines of text, without the columns in which no row says anything.

    ``width`` is the number of columns of the terminal. A table that is wider is written as one
    record a row, its texts wrapped. None sets no limit.
    """
    if not table.rows:
        return NOTHING
    labels, rows = _grid(table)
    widths = [max(map(width_of, column)) for column in zip(labels, *rows, strict=True)]
    if width is None or sum(widths) + len(_GAP) * (len(widths) - 1) <= width:
        return spaced(_aligned(labels, rows, widths))
    return spaced("\n".join(_record(labels, row, width) for row in rows))


def _grid(table: Table) -> tuple[list[str], Grid]:
    """The labels and the texts, with a last column for what holds for some cars only."""
    table = table.without_empty_columns()
    labels = [column.label for column in table.columns]
    rows = [[cell.text for cell in row.cells] for row in table.rows]
    if any(row.when for row in table.rows):
        labels.append("Only for")
        rows = [[*texts, row.when] for texts, row in zip(rows, table.rows, strict=True)]
    return labels, rows


def _aligned(labels: list[str], rows: Grid, widths: list[int]) -> str:
    lines = [labels, ["─" * width for width in widths], *rows]
    return "".join(_line(texts, widths) for texts in lines)


def _line(texts: list[str], widths: list[int]) -> str:
    cells = (
        text + " " * (width - width_of(text)) for text, width in zip(texts, widths, strict=True)
    )
    return _GAP.join(cells).rstrip() + "\n"


def _record(labels: list[str], texts: list[str], width: int) -> str:
    """The first text as a title, each of the others behind its label; empty ones are left out."""
    wide = max(map(width_of, labels[1:]), default=0)
    indent = " " * (len(_GAP) + wide + len(_GAP))
    room = max(width, len(indent) + _NARROWEST)
    lines = textwrap.wrap(texts[0], room, break_long_words=False)
    for label, text in zip(labels[1:], texts[1:], strict=True):
        start = f"{_GAP}{label}{' ' * (wide - width_of(label))}{_GAP}"
        lines += textwrap.wrap(
            text, room, initial_indent=start, subsequent_indent=indent, break_long_words=False
        )
    return "\n".join(lines) + "\n"
