"""``procedures take-over``: sheets with what goes wrong in sheets, and files that attack."""

from __future__ import annotations

import datetime
import re
import sys
import zipfile
from typing import TYPE_CHECKING, Any

import openpyxl
import pytest

from procedures_lib.fronts.cli.taking_over import package, sheet, workbook
from procedures_lib.judging.checks import check_manual
from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual import Manual
from tests.cli.sheets import Rows, changed, with_file
from tests.cli.sheets import workbook as make
from tests.cli.test_cli_take_over import counted, found_in, full, on_page, take
from tests.cli.world import run, write

if TYPE_CHECKING:
    from pathlib import Path

HEAD = ("Bolt", "Part number", "Torque")


def torques_of(manual: Path, page: str = "vehicles/list.md") -> dict[str, str]:
    joints = Manual.read(manual / "docs").scope(page).all(Fastener)
    return {each.id: str(each.how_tight).replace("\u00a0", " ") for each in joints}


def numbers_on(manual: Path, page: str = "vehicles/list.md") -> list[str]:
    return re.findall(r"^  number: (.*)$", on_page(manual, page), re.M)


def refusal(*words: str) -> str:
    result = run("take-over", *words)
    assert (result.exit_code, result.stdout) == (2, "")
    return result.stderr


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


def test_macros_are_never_read(manual: Path) -> None:
    make(manual / "list.xlsm", {"A": (HEAD, ("Lid bolts", "A1", "10 Nm"))})
    with_file(manual / "list.xlsm", "xl/vbaProject.bin", "not read")
    assert "its macros are not read, and nothing of it is run" in take("list.xlsm", "--write")
    assert torques_of(manual) == {"lid-bolts": "10 N·m"}


OLE = bytes.fromhex("d0cf11e0a1b11ae1")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (OLE + b"\0" * 500 + "EncryptedPackage".encode("utf-16-le"), "list.xlsx has a password"),
        (OLE + b"\0" * 500, "is a workbook of the old kind (.xls): save it as .xlsx"),
        (b"Bolt,Torque\n", "is damaged or no workbook"),
        (b"", "is damaged or no workbook"),
    ],
)
def test_what_is_no_open_workbook(manual: Path, content: bytes, said: str) -> None:
    (manual / "list.xlsx").write_bytes(content)
    assert said in refusal("list.xlsx")


def test_a_workbook_that_unpacks_to_more_than_any_sheet_has(
    manual: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make(manual / "list.xlsx", {"A": (HEAD, ("Lid bolts", "A1", "10 Nm"))})
    with zipfile.ZipFile(manual / "list.xlsx", "a", zipfile.ZIP_DEFLATED) as more:
        more.writestr("xl/media/more.bin", b"\0" * 3_000_000)
    assert (manual / "list.xlsx").stat().st_size < 20_000
    monkeypatch.setattr(package, "MOST_UNPACKED", 2_000_000)
    assert "unpacked it has" in refusal("list.xlsx")


def test_entities_of_its_own_are_refused(manual: Path) -> None:
    make(manual / "list.xlsx", {"A": (HEAD, ("Lid bolts", "A1", "10 Nm"))})
    laughs = '<!DOCTYPE a [<!ENTITY b "bbbb">]><sst>&b;</sst>'
    with_file(manual / "list.xlsx", "xl/sharedStrings.xml", laughs)
    assert "of a form that no spreadsheet program writes" in refusal("list.xlsx")


def sheet_of(path: Path) -> str:
    with zipfile.ZipFile(path) as parts:
        return parts.read("xl/worksheets/sheet1.xml").decode()


def test_a_row_without_an_end_is_refused(manual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = make(manual / "list.xlsx", {"A": (HEAD, ("Lid bolts", "A1", "10 Nm"))})
    cells = '<c r="C2"><v>1</v></c>' * 300_000
    with_file(path, "xl/worksheets/sheet1.xml", sheet_of(path).replace("</row>", f"{cells}</row>"))
    assert path.stat().st_size < 100_000
    monkeypatch.setattr(package, "MOST_IN_A_ROW", 2_000_000)
    assert "of a form that no spreadsheet program writes" in refusal("list.xlsx")


def test_sheets_that_are_one_are_refused(manual: Path) -> None:
    path = make(manual / "list.xlsx", {"A": (HEAD,), "B": (HEAD,)})
    with zipfile.ZipFile(path) as parts:
        text = parts.read("xl/_rels/workbook.xml.rels").decode()
    with_file(path, "xl/_rels/workbook.xml.rels", text.replace("sheet2.xml", "sheet1.xml"))
    assert "has 2 sheets, or two that are one" in refusal("list.xlsx")


def test_merged_cells_over_more_than_is_filled(
    manual: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows: Rows = (("Bolt", "Thread", "Torque"), *((f"Stud {n}", "M6") for n in range(9)))
    path = make(manual / "list.xlsx", {"A": rows})
    changed(path, "A", {"C2": "10 Nm"})
    book = openpyxl.load_workbook(path)
    book["A"].merge_cells("C2:C10")
    book.save(path)
    monkeypatch.setattr(workbook, "MOST_FILLED", 3)
    assert "“10 Nm” is read down to row 5" in take("list.xlsx")


def test_more_rows_than_are_read(manual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (workbook, sheet):
        monkeypatch.setattr(module, "MOST_ROWS", 10)
    rows = [HEAD, *((f"Bolt {n}", f"A-{n}", "10 Nm") for n in range(20))]
    make(manual / "list.xlsx", {"A": rows})
    output = take("list.xlsx")
    assert "note: sheet A: rows after 10 are not read" in output
    assert counted(output) == (10, 9, 1)


def test_a_page_never_gets_larger_than_is_read(manual: Path) -> None:
    rows = "".join(f"Bolt number {n} of a long list of bolts,10 Nm\n" for n in range(10_000))
    write(manual, {"list.csv": f"Bolt,Torque\n{rows}"})
    result = run("take-over", "list.csv", "--write")
    assert result.exit_code == 2
    assert counted(result.stdout) == (10_001, 10_000, 1)
    assert "would be larger than a page may be: split the list" in result.stderr
    assert not (manual / "docs" / "vehicles" / "list.md").exists()


def test_a_far_cell_makes_no_wide_table(manual: Path) -> None:
    path = make(manual / "list.xlsx", {"A": (HEAD, ("Lid bolts", "A1", "10 Nm"))})
    book = openpyxl.load_workbook(path)
    book["A"]["XFD1048576"] = "x"
    book.save(path)
    assert counted(take("list.xlsx"))[:2] == (2, 1)


def test_a_size_that_is_wrong_cuts_nothing_off(manual: Path) -> None:
    path = make(manual / "list.xlsx", {"A": (HEAD, ("Lid bolts", "A1", "10 Nm"))})
    with zipfile.ZipFile(path) as parts:
        text = parts.read("xl/worksheets/sheet1.xml").decode()
    with_file(path, "xl/worksheets/sheet1.xml", text.replace('ref="A1:C2"', 'ref="A1"'))
    assert counted(take("list.xlsx"))[:2] == (2, 1)


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


HOSTILE = [
    "Remove {raw}`html` the <script>alert(1)</script> lid",
    "Remove ```{include} /etc/passwd",
    "Remove ::: the lid ‹x, such as y›",
    "Remove [it](javascript:alert(1)) \x1b[31m $x$ | a | b",
    "Remove |a|b| and apply # h",
    "% (l)= Remove 10 Nm [^1]",
    "Remove lid: {a: b} # c 'd' \"e\" \\ %",
]


@pytest.mark.parametrize("words", HOSTILE)
def test_words_of_a_list_stay_words(manual: Path, words: str) -> None:
    quoted = words.replace('"', '""')
    write(manual, {"work.txt": f"{words}\nRemove the cover\n"})
    write(manual, {"list.csv": f'Bolt,Torque\n"{quoted}",10 Nm\nLid,2 Nm\n'})
    before = set(found_in(manual))
    take("work.txt", "--write")
    take("list.csv", "--write")
    assert set(found_in(manual)) - before == set()
    page = on_page(manual, "procedures/work.md")
    assert "\x1b" not in page
    assert page.count(":::{step}") == 2
    assert len(torques_of(manual)) == 2


def test_the_title_of_a_list_is_words_alone(manual: Path) -> None:
    write(manual, {"work.md": "# Fit {lid} to 10 Nm [^1]\n\n- Remove the cover\n"})
    take("work.md", "--write")
    assert on_page(manual, "procedures/work.md").startswith("# Fit \\{lid\\}\n")
    assert found_in(manual) == []


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


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_page_that_leads_outside_is_not_written(manual: Path, tmp_path: Path) -> None:
    page = manual / "docs" / "vehicles" / "mule.md"
    (tmp_path / "mule.md").write_bytes(page.read_bytes())
    page.unlink()
    page.symlink_to(tmp_path / "mule.md")
    before = (tmp_path / "mule.md").read_bytes()
    write(manual, {"list.csv": "Bolt,Torque\nLid bolts,10 Nm\n"})
    assert run("take-over", "list.csv", "--to", "vehicle", "mule", "--write").exit_code == 2
    assert (tmp_path / "mule.md").read_bytes() == before


def test_line_ends_of_a_page_stay(manual: Path) -> None:
    page = manual / "docs" / "vehicles" / "mule.md"
    page.write_bytes(page.read_bytes().replace(b"\n", b"\r\n"))
    write(manual, {"list.csv": "Bolt,Torque\nLid bolts,10 Nm\n"})
    take("list.csv", "--to", "vehicle", "mule", "--write")
    assert b"lid-bolts:\r\n" in page.read_bytes()
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
