"""A table as a value."""

from __future__ import annotations

from procedures_lib.fronts.tables.table import Cell, Column, Row, Table, cell, joined

COLUMNS = (Column("a", "A"), Column("b", "B"), Column("c", "C"))


def test_records_have_every_column_and_when() -> None:
    table = Table("k", "K", COLUMNS, (Row((cell("1"), Cell(), cell("3")), when="x=y"),))
    assert table.records() == [{"a": "1", "b": "", "c": "3", "when": "x=y"}]


def test_columns_in_which_no_row_says_anything_are_left_out() -> None:
    rows = (Row((cell("1"), Cell(), Cell())), Row((Cell(), Cell(), cell("3"))))
    table = Table("k", "K", COLUMNS, rows).without_empty_columns()
    assert [column.key for column in table.columns] == ["a", "c"]
    assert [[c.text for c in row.cells] for row in table.rows] == [["1", ""], ["", "3"]]


def test_joined_puts_text_only_between_what_says_something() -> None:
    assert joined([Cell(), cell("a"), Cell(), cell("b", "step:1")]).text == "a, b"
    assert joined([]).runs == ()
