"""Plain text: columns where they fit, records where they don't."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.fronts.formats import plain_text
from procedures_lib.fronts.formats.table_text import NOTHING, width_of
from tests.tables.samples import linked_table, table_of

ALIGNED = """\
Name           Torque
─────────────  ───────
Cover bolts    10 N·m
Side bolt, M8  snug
"""
RECORDS = """\
Cover bolts
  Torque  10 N·m

Side bolt, M8
  Torque  snug
"""
ROWS = (("Cover bolts", "10\u00a0N·m "), ("Side bolt, M8", "snug"))


def test_columns_are_aligned() -> None:
    assert plain_text(table_of(*ROWS)) == ALIGNED


def test_a_table_as_wide_as_the_terminal_fits_and_a_wider_one_becomes_records() -> None:
    widest = max(map(len, ALIGNED.splitlines()))
    assert plain_text(table_of(*ROWS), widest) == ALIGNED
    assert plain_text(table_of(*ROWS), widest - 1) == RECORDS


def test_a_long_text_is_wrapped_under_its_beginning_and_a_number_keeps_its_unit() -> None:
    table = table_of(("Bolt", "first to 10\u00a0N·m, then as far again"))
    assert plain_text(table, 31) == (
        "Bolt\n  Torque  first to 10 N·m, then\n          as far again\n"
    )
    assert plain_text(table, 12) == (
        "Bolt\n  Torque  first to 10 N·m,\n          then as far again\n"
    ), "no narrower than twenty columns of text"


def test_what_is_empty_everywhere_is_left_out() -> None:
    table = table_of(("Bolt", "", "4"), ("Nut", "", ""), labels=("Name", "Note", "Steps"))
    assert plain_text(table) == "Name  Steps\n────  ─────\nBolt  4\nNut\n"
    assert plain_text(table, 8) == "Bolt\n  Steps  4\n\nNut\n"


def test_rows_for_some_cars_say_so() -> None:
    assert plain_text(linked_table()).splitlines()[-1] == "steps 4, 17  transmission=manual"
    assert plain_text(linked_table(), 20) == "steps 4, 17\n  Only for  transmission=manual\n"


def test_a_table_without_rows_says_so() -> None:
    assert plain_text(table_of()) == NOTHING


def test_wide_and_combining_signs_keep_the_columns_straight() -> None:
    # Unicode Standard Annex 11: a wide character takes two columns of a fixed-pitch font
    assert width_of("ボルト") == 6
    assert width_of("e\u0301") == 1
    lines = plain_text(table_of(("ボルト", "1"), ("e\u0301", "2"))).splitlines()
    assert lines[2:] == ["ボルト  1", "e\u0301       2"]


@given(st.lists(st.tuples(*[st.text("ab ", min_size=1, max_size=60)] * 2), min_size=1), st.data())
def test_no_line_is_wider_than_the_terminal(
    rows: list[tuple[str, str]], data: st.DataObject
) -> None:
    rows = [(f"x{first}", f"y{second}") for first, second in rows]
    longest = max(len(word) for row in rows for text in row for word in text.split())
    width = data.draw(st.integers(max(30, 10 + longest), 130))
    assert all(len(line) <= width for line in plain_text(table_of(*rows), width).splitlines())
