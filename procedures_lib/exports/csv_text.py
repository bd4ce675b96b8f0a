"""A table as CSV: RFC 4180, with a header, safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from procedures_lib.exports.spacing import spaced

if TYPE_CHECKING:
    from procedures_lib.tables.table import Table

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
