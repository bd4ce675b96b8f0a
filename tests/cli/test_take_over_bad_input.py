"""``procedures take-over``: what goes wrong in sheets."""

from __future__ import annotations

import datetime
import re
from typing import TYPE_CHECKING, Any

import openpyxl
import pytest

from procedures_lib.judging.checks import check_manual
from procedures_lib.manual import Manual
from tests.cli.sheets import Rows, counted, found_in, full, on_page, refusal, take, torques_of
from tests.cli.sheets import workbook as make
from tests.cli.world import write

if TYPE_CHECKING:
    from pathlib import Path

HEAD = ("Bolt", "Part number", "Torque")


def numbers_on(manual: Path, page: str = "vehicles/list.md") -> list[str]:
    return re.findall(r"^  number: (.*)$", on_page(manual, page), re.M)


def test_a_merged_cell_counts_for_each_of_its_rows(manual: Path) -> None:
    rows: Rows = (("Bolt", "Thread", "Torque"), ("Lid bolts", "M6", "10 Nm"), ("Arm bolts", "M6"))
    path = make(manual / "list.xlsx", {"A": rows})
    book = openpyxl.load_workbook(path)
    book["A"].merge_cells("C2:C3")
    book.save(path)
    output = take("list.xlsx", "--write")
    assert "C2:C3 is one merged cell: “10 Nm” is read for each of its rows" in output
    assert torques_of(manual) == {"lid-bolts": "10 N·m", "arm-bolts": "10 N·m"}


def test_a_title_over_merged_columns_is_a_title(manual: Path) -> None:
    path = make(manual / "list.xlsx", {"A": (("Spring list",), HEAD, ("Lid bolts", "A1", "10 Nm"))})
    book = openpyxl.load_workbook(path)
    book["A"].merge_cells("A1:C1")
    book.save(path)
    assert counted(take("list.xlsx")) == (3, 1, 2)


def test_two_tables_one_below_the_other(manual: Path) -> None:
    rows: Rows = (
        ("Bolt", "Torque"), ("Lid bolts", "10 Nm"), (),
        ("Part no.", "Description", "Qty"), ("QT-1", "Hose", 2),
    )  # fmt: skip
    make(manual / "list.xlsx", {"A": rows})
    output = take("list.xlsx", "--write")
    assert counted(output) == (4, 2, 2)
    assert "a torque list" in output
    assert "a packing list" in output
    assert "  - part: hose\n" in on_page(manual, "kits/list.md")


@pytest.mark.parametrize("gap", [(), (None,)])
def test_two_tables_side_by_side(manual: Path, gap: tuple[Any, ...]) -> None:
    rows: Rows = (
        ("Bolt", "Torque", *gap, "Bolt", "Torque"),
        ("Lid bolts", "10 Nm", *gap, "Hub nut", "80 Nm"),
        ("Arm bolts", "25 Nm", *gap, None, None),
    )
    make(manual / "list.xlsx", {"A": rows})
    assert counted(take("list.xlsx", "--write")) == (5, 3, 2)
    assert torques_of(manual) == {
        "lid-bolts": "10 N·m",
        "arm-bolts": "25 N·m",
        "hub-nut": "80 N·m",
    }


def test_a_formula_without_its_result(manual: Path) -> None:
    rows: Rows = (HEAD, ("Lid bolts", "A1", "=10*2"), ("=A2", "A2", "10 Nm"))
    make(manual / "list.xlsx", {"A": rows})
    output = take("list.xlsx", "--write", code=1)
    assert "row 3: it has no name: a formula whose result the file does not hold" in output
    assert "tighten: ‹torque: the sheet has a formula whose result" in on_page(
        manual, "vehicles/list.md"
    )


def test_dates_where_part_numbers_and_torques_were(manual: Path) -> None:
    day = datetime.datetime(2026, 3, 1)
    rows: Rows = (HEAD, ("Lid bolts", day, day), ("Arm bolts", "1-Mar", "10 Nm"),
                  ("Hub nut", "1.2E+05", "10 Nm"))  # fmt: skip
    make(manual / "list.xlsx", {"A": rows})
    take("list.xlsx", "--write")
    assert [number.partition(",")[0] for number in numbers_on(manual)] == [
        "‹part number: the sheet has a date",
        "‹part number: the sheet has 1-Mar",
        "‹part number: the sheet has 1.2E+05",
    ]
    assert "tighten: ‹torque: the sheet has a date, 2026-03-01" in on_page(
        manual, "vehicles/list.md"
    )


def test_zeros_in_front_of_part_numbers(manual: Path) -> None:
    rows: Rows = (HEAD, ("Lid bolts", "00123", "10 Nm"), ("Arm bolts", 456, "10 Nm"),
                  ("Hub nut", 789, "10 Nm"), ("Rim nut", "A-1", "10 Nm"))  # fmt: skip
    path = make(manual / "list.xlsx", {"A": rows})
    book = openpyxl.load_workbook(path)
    book["A"]["B4"].number_format = "00000"
    book.save(path)
    take("list.xlsx", "--write")
    assert numbers_on(manual) == [
        "00123",
        "‹part number: the sheet has 456, which may have lost a zero in front, such as 00456›",
        "00789",
        "A-1",
    ]


@pytest.mark.parametrize("text", ["45", "45 lb", "12–14", "8,5 Nm", "tight", "20/22 Nm"])
def test_a_torque_that_can_not_be_read_is_a_blank(manual: Path, text: str) -> None:
    write(manual, {"list.csv": f"Bolt;Torque\nLid bolts;{text}\nArm bolts;10 Nm\n"})
    take("list.csv", "--write")
    assert f"  tighten: ‹torque: the sheet has {text}" in on_page(manual, "vehicles/list.md")
    assert found_in(manual) == []


def test_no_unit_is_a_blank_with_the_units_that_it_may_be(manual: Path) -> None:
    write(manual, {"list.csv": "Bolt,Torque\nLid bolts,45\nArm bolts,10 Nm\n"})
    assert "the sheet has 45 and no unit: N·m or lbf·ft or lbf·in?" in take("list.csv")


def test_two_units_have_to_agree(manual: Path) -> None:
    rows = "Bolt,Nm,ft-lb\nLid bolts,100,74\nArm bolts,100,47\n"
    write(manual, {"list.csv": rows})
    take("list.csv", "--write")
    assert torques_of(manual)["lid-bolts"] == "100 N·m"
    page = on_page(manual, "vehicles/list.md")
    assert "‹torque: the sheet has 100 N·m and 47 lbf·ft: two stages or two readings?" in page


def test_a_hidden_sheet_is_named(manual: Path) -> None:
    path = make(manual / "list.xlsx", {"A": (HEAD, ("Lid bolts", "A1", "10 Nm")), "Old": (HEAD,)})
    book = openpyxl.load_workbook(path)
    book["Old"].sheet_state = "hidden"
    book.save(path)
    assert "sheet Old: the sheet is hidden, and not read" in take("list.xlsx")


def test_a_step_list_in_another_language_is_listed(manual: Path) -> None:
    steps = "1. Batterie abklemmen.\n2. Die Schrauben lösen.\n3. Stoßfänger abnehmen.\n"
    write(manual, {"work.txt": steps})
    output = take("work.txt", "--write", code=1)
    assert counted(output) == (3, 0, 3)
    assert "row 1–3: only 0 of 3 steps begin with a verb known here, in English" in output
    assert not (manual / "docs" / "procedures" / "work.md").exists()


def test_a_sheet_in_another_language(manual: Path) -> None:
    rows = "Bezeichnung;Anzahl;Gewinde;Anzugsmoment\nKühlerschraube;4;M6;10 Nm\n"
    write(manual, {"list.csv": rows})
    take("list.csv", "--write")
    assert torques_of(manual) == {"kuhlerschraube": "10 N·m"}


def test_names_without_a_letter_for_an_id_are_listed(manual: Path) -> None:
    write(manual, {"list.csv": "Bolt,Torque\n螺栓螺栓螺栓,10 Nm\nLid bolts,10 Nm\n,12 Nm\n"})
    output = take("list.csv", code=1)
    assert "row 2: no id can be made of its name" in output
    assert "row 4: it has no name" in output or "row 4: one cell alone" in output


def test_the_same_row_twice_is_listed(manual: Path) -> None:
    write(manual, {"list.csv": "Bolt,Torque\nLid bolts,10 Nm\nLid bolts,10 Nm\n"})
    assert "row 3: it is the same as row 2" in take("list.csv", code=1)


def test_what_is_no_list_is_left_row_by_row(manual: Path) -> None:
    write(manual, {"list.csv": "alpha,beta\ngamma,delta\n"})
    output = take("list.csv", "--write", code=1)
    assert counted(output) == (2, 0, 2)
    assert "of what kind this list is does not show" in output


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_encodings(manual: Path, encoding: str) -> None:
    (manual / "list.csv").write_bytes("Bolt\tTorque\nLid bolts\t10 N·m\n".encode(encoding))
    take("list.csv", "--write")
    assert torques_of(manual) == {"lid-bolts": "10 N·m"}


@pytest.mark.parametrize("name", ["list.ods", "list.pdf", "list"])
def test_a_file_of_no_kind_that_is_read(manual: Path, name: str) -> None:
    (manual / name).write_bytes(b"x")
    assert "is of no kind that is read: save it as .xlsx or CSV" in refusal(name)


def test_a_text_that_is_none(manual: Path) -> None:
    (manual / "work.txt").write_bytes(b"a\0b")
    assert "is no text" in refusal("work.txt")


def test_a_step_that_stands_twice_stands_twice(manual: Path) -> None:
    write(manual, {"work.txt": "Remove the cover\nFit the cover\nRemove the cover\n"})
    take("work.txt", "--write")
    output = take("work.txt", "--write")
    assert "0 new, 0 changed, 3 as they were" in output
    assert "gone:" not in output


def test_a_list_that_begins_like_a_block(manual: Path) -> None:
    write(
        manual, {"work.md": "- Remove the lid\n\n```{parts}\nlid: {name: Lid}\n```\n\n% hidden\n"}
    )
    output = take("work.md", "--write", code=1)
    assert counted(output) == (5, 1, 4)
    assert "row 3–5: a block of code, which is not read" in output


def test_a_page_of_that_name_without_a_head_is_left(manual: Path) -> None:
    write(manual, {"docs/vehicles/list.md": "# A list\n",
                   "list.csv": "Bolt,Torque\nLid bolts,10 Nm\n"})  # fmt: skip
    assert "its head can't be read: mend it first" in refusal("list.csv", "--write")


def test_line_ends_of_a_page_stay(manual: Path) -> None:
    page = manual / "docs" / "vehicles" / "mule.md"
    page.write_bytes(b"\xef\xbb\xbf" + page.read_bytes().replace(b"\n", b"\r\n"))
    write(manual, {"list.csv": "Bolt,Torque\nLid bolts,10 Nm\n"})
    take("list.csv", "--to", "vehicle", "mule", "--write")
    assert b"lid-bolts:\r\n" in page.read_bytes()
    assert page.read_bytes().startswith(b"\xef\xbb\xbf# The mule\r\n")
    assert page.read_bytes().count(b"\n") == page.read_bytes().count(b"\r\n")


def test_what_is_taken_over_has_no_findings_but_blanks(manual: Path) -> None:
    rows: Rows = (
        ("Bolt", "Qty", "Lube", "Torque"),
        ("Lid bolts", 4, "dry", "10 Nm"),
        ("Bracket", 2, "thread locker", "25 Nm"),
        ("Hub nut", 1, "??", "8 kgm"),
    )
    make(manual / "list.xlsx", {"A": rows})
    assert counted(take("list.xlsx", "--write")) == (full(rows), 3, 1)
    checks = {finding.check for finding in check_manual(Manual.read(manual / "docs"))}
    assert checks <= {"blank-left", "not-in-contents"}
