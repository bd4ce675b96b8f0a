"""CSV: RFC 4180 (October 2005), and nothing that a spreadsheet runs."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.fronts.formats import csv_text
from procedures_lib.fronts.formats.table_text import guarded
from tests.tables.samples import linked_table, table_of


def read_back(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def test_lines_end_in_crlf_and_cells_are_quoted_where_they_must_be() -> None:
    # RFC 4180, section 2: rules 1 (CRLF), 3 (header), 6 (commas, quotes), 7 (doubled quotes)
    table = table_of(("Bolt, long", '3/8" drive'), ("Nut", ""))
    assert csv_text(table) == ('name,torque,when\r\n"Bolt, long","3/8"" drive",\r\nNut,,\r\n')


def test_a_line_break_in_a_cell_stays_in_the_cell() -> None:
    # RFC 4180, section 2, rule 6
    assert read_back(csv_text(table_of(("two\r\nlines", "x"))))[1] == ["two\r\nlines", "x", ""]


def test_links_go_and_the_condition_is_the_last_column() -> None:
    assert read_back(csv_text(linked_table())) == [
        ["steps", "when"],
        ["steps 4, 17", "transmission=manual"],
    ]


def test_a_number_is_found_with_a_plain_space() -> None:
    assert read_back(csv_text(table_of(("Bolt", "10\u00a0N·m"))))[1][1] == "10 N·m"


def test_a_table_without_rows_is_its_header() -> None:
    assert csv_text(table_of()) == "name,torque,when\r\n"


@pytest.mark.parametrize(
    "text",
    # The signs are those of OWASP, "CSV Injection": = + - @, tab, carriage return, line feed,
    # and their full-width forms.
    [
        "=1+1",
        "+45°",
        "-5 °C",
        "@x",
        "\t=1",
        "\r=1",
        "\n=1",
        "＝1",
        "＋1",
        "－1",
        "＠x",
        "  =1",
        "'x",
    ],
)
def test_a_cell_that_a_spreadsheet_would_run_is_marked_as_text(text: str) -> None:
    assert guarded(text) == f"'{text}"


@pytest.mark.parametrize("text", ["", "10 N·m", "M6x1.0", "hand, then +45°", "−5 °C", "3/8 in"])
def test_other_cells_are_left_alone(text: str) -> None:
    assert guarded(text) == text


@given(st.text(st.characters(codec="utf-8", exclude_characters="\0\u00a0")))
def test_taking_one_apostrophe_off_gives_the_text_back(text: str) -> None:
    cell = read_back(csv_text(table_of((text, "x"))))[1][0]
    assert not cell.lstrip(" ").startswith(("=", "+", "-", "@"))
    assert cell.removeprefix("'") == text
