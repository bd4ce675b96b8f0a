"""``procedures take-over``: files that attack: nothing runs, nothing swells."""

from __future__ import annotations

import sys
import zipfile
from typing import TYPE_CHECKING

import openpyxl
import pytest

from procedures_lib.fronts.cli.taking_over import package, sheet, workbook
from tests.cli.compound_files import SIGNATURE, compound_file, with_password
from tests.cli.sheets import (
    Rows,
    changed,
    counted,
    found_in,
    on_page,
    refusal,
    take,
    torques_of,
    with_file,
)
from tests.cli.sheets import workbook as make
from tests.cli.world import run, write

if TYPE_CHECKING:
    from pathlib import Path

HEAD = ("Bolt", "Part number", "Torque")


def test_macros_are_never_read(manual: Path) -> None:
    make(manual / "list.xlsm", {"A": (HEAD, ("Lid bolts", "A1", "10 Nm"))})
    with_file(manual / "list.xlsm", "xl/vbaProject.bin", "not read")
    assert "its macros are not read, and nothing of it is run" in take("list.xlsm", "--write")
    assert torques_of(manual) == {"lid-bolts": "10 N·m"}


OLD = compound_file({"Workbook": 500 * "EncryptedPackage".encode("utf-16-le")})
"""A workbook of the old kind in whose cells the word stands."""


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (with_password(), "list.xlsx has a password: take the password off"),
        (with_password(9_000_000), "list.xlsx has a password"),
        (OLD, "is a workbook of the old kind (.xls): save it as .xlsx"),
        (OLD[:700], "is a workbook of the old kind (.xls)"),
        (SIGNATURE, "is a workbook of the old kind (.xls)"),
        (SIGNATURE + b"\xff" * 900, "is a workbook of the old kind (.xls)"),
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
