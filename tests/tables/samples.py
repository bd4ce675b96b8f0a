"""Small tables of texts, and the rows of a table by their first cell."""

from __future__ import annotations

from procedures_lib.fronts.tables.table import Cell, Column, Row, Run, Table, cell


def table_of(*rows: tuple[str, ...], labels: tuple[str, ...] = ("Name", "Torque")) -> Table:
    """A table of plain texts, its keys the labels in small letters."""
    columns = tuple(Column(label.lower(), label) for label in labels)
    made = tuple(Row(tuple(cell(text) for text in texts)) for texts in rows)
    return Table("sample", "Sample", columns, made)


def linked_table() -> Table:
    """A table whose one cell has a link in the middle, and whose row is for some cars."""
    runs = (Run("steps "), Run("4", "step:4"), Run(", 17"))
    columns = (Column("steps", "Steps"),)
    return Table("sample", "Sample", columns, (Row((Cell(runs),), "", "transmission=manual"),))


def row(table: Table, name: str) -> Row:
    """The row whose first cell has this text."""
    return next(each for each in table.rows if each.cells[0].text == name)


def record(table: Table, name: str) -> dict[str, str]:
    """The cells of that row by column, no-break spaces as plain ones."""
    at = [each.cells[0].text for each in table.rows].index(name)
    return {key: text.replace("\u00a0", " ") for key, text in table.records()[at].items()}
