"""``procedures learn`` and ``recall`` on the demo's pages, and lessons where a writer works."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from procedures_lib.fronts.cli.answers import Board
from procedures_lib.fronts.cli.archiving.bay import Bay
from procedures_lib.fronts.cli.archiving.lessons import lessons_at
from procedures_lib.fronts.cli.arguments import find_folders
from procedures_lib.fronts.cli.checked_manual import Checked
from procedures_lib.fronts.editor.desk import Desk, ManualFolders
from tests.cli.world import run
from tests.demo import PROJECT, demo
from tests.editor.talking import Editor
from tests.invented_jobs import PAGE, write_older, write_records

EFFECTS = """\
  fit-tf-220: step 17, Put the charge hoses on and plug the sensor in: took 27 min (25 to 30) in \
50 jobs, 15 min planned: slower than planned (p < 0.001)
  fit-tf-220: step 14, Move the boost-pressure sensor to the new cooler (13 of 27 before): remarks \
since it was changed 0 of 26, 0 % (0 to 13), 48 % before: fewer remarks since it was changed \
(p = 0.0048) [unclear: which way round the seal goes]
  Click wrench 25 N·m (click-25): reads off −3.0 % (−3.1 to −2.8) in 240 jobs: reads low (p < 0.001)
"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's pages and settings in a folder of their own, with the invented archive."""
    root = tmp_path_factory.mktemp("shop")
    for name in ("docs", "conf"):
        shutil.copytree(PROJECT / name, root / name)
    names = write_records(root / "records")
    older = write_older(root / "older")
    with pytest.MonkeyPatch.context() as patched:
        patched.chdir(root)
        assert run("archive", "sheets", str(older)).exit_code == 0
        assert run("archive", "add", *names).exit_code == 0
        assert run("learn").exit_code == 0
    return root


@pytest.fixture(autouse=True)
def there(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(shop)


def test_the_lessons_as_text() -> None:
    result = run("learn")
    assert result.exit_code == 0
    head, effects = result.stdout.split("What stands out:\n")
    assert effects == EFFECTS
    assert "240 jobs from 2025-01-06 to 2026-04-23, in 240 records." in head
    assert "of 100 archives without any effect, 5 at most would show one" in head
    everything = run("learn", "--all").stdout
    assert "Hand-overs at a step:" in everything
    assert "took 9.7 min" in everything or "took 10 min" in everything


def test_the_docs_show_what_it_prints(shop: Path) -> None:
    page = (shop / "docs/reference/lessons.md").read_text(encoding="utf-8")
    printed = run("learn", "--width", "100").stdout
    assert printed in page


def test_the_lessons_as_json_and_csv() -> None:
    value = json.loads(run("learn", "--format", "json", "--procedure", "fit-tf-220").stdout)
    assert {each["procedure"] for each in value["lessons"]} == {"fit-tf-220", ""}
    slow = next(each for each in value["lessons"] if each["verdict"] == "slower than planned")
    assert (slow["step"], slow["jobs"], slow["expected"]) == (17, 50, 15)
    rows = list(csv.DictReader(io.StringIO(run("learn", "--format", "csv").stdout)))
    assert len(rows) > 150
    assert sum(bool(row["verdict"]) for row in rows) == 3


def test_the_lessons_as_a_page_that_needs_nothing_else() -> None:
    html = run("learn", "--format", "html").stdout
    assert html.count("<svg") >= 12
    assert "slower than planned" in html
    assert not re.search(r"<script|(?:src|href)=|@import|url\(", html)
    assert ">27 (25 to 30), n 50</text>" in html
    titles = re.findall(r'<svg[^>]* aria-label="([^"]+)"', html)
    assert any(title.startswith("fit-tf-220, minutes: 2. Get out") for title in titles)


def test_without_an_archive_there_is_nothing_to_learn_of(tmp_path: Path) -> None:
    for words in (("learn",), ("recall", "docs")):
        result = run(*words, "--archive", str(tmp_path / "none"))
        assert result.exit_code == 2
        assert "there is no archive at" in result.stderr


# -- where a writer works ----------------------------------------------------------------------


def line_of(page: Path, text: str) -> int:
    lines = page.read_text(encoding="utf-8").splitlines()
    return next(n for n, line in enumerate(lines, start=1) if text in line)


def test_a_served_page_has_its_lessons_by_line(shop: Path) -> None:
    board = Board(shop / "none", Bay(shop / "archive"))
    board.note(Checked((), ()), demo())
    board.turn()
    html = board.into(b"<html><head></head><body></body></html>", "/procedures/fit-tf-220.html")
    text = html.decode()
    line = line_of(shop / "docs" / PAGE, "Put the charge hoses on")
    assert "What 240 jobs teach of this page: 2 effects" in text
    slow = f"<li><strong>Line {line}, step 17: took 27 min (25 to 30) in 50 jobs, 15 min planned: "
    assert slow in text
    common = board.into(b"<html><body></body></html>", "/common/raise-car.html").decode()
    assert "fit-tf-140: took " in common
    other = board.into(b"<html><body></body></html>", "/kits/tf-220.html").decode()
    assert "teach of this page" not in other


def test_all_lessons_are_served_without_inline_styles(shop: Path) -> None:
    board = Board(shop / "none", Bay(shop / "archive"))
    answer = board.answer("/_serve/lessons")
    assert answer is not None
    assert b"<style" not in answer[1]
    assert b' style="' not in answer[1]
    assert b"What the bay says" in answer[1]
    assert Board(shop / "none").answer("/_serve/lessons") is None


def test_a_step_that_was_changed_has_no_lessons_of_other_words(shop: Path) -> None:
    notes = lessons_at(find_folders(shop))
    desk = Desk(ManualFolders(shop / "docs", shop / "conf/shop.toml", notes))
    text = desk.text(PAGE)
    before = {line for line, _ in notes(desk.manual, PAGE)}
    line = line_of(shop / "docs" / PAGE, "Put the charge hoses on")
    assert line in before
    desk.put(PAGE, text.replace("Put the charge hoses on", "Push the charge hoses on"))
    assert {line for line, _ in notes(desk.manual, PAGE)} == before - {line}


def test_the_editor_shows_lessons_as_information(shop: Path) -> None:
    with Editor(shop) as editor:
        editor.open(PAGE)
        editor.wait_for_news(PAGE, 0)
        told = editor.findings[PAGE]
    mine = [each for each in told if each.source == "procedures learn"]
    slow = next(each for each in mine if "slower than planned" in each.message)
    assert int(slow.severity or 0) == 3  # information
    line = line_of(shop / "docs" / PAGE, "Put the charge hoses on")
    assert slow.range.start.line == line - 1


def test_a_comparison_says_which_remarks_it_answers() -> None:
    result = run("compare", "older")
    told = result.stdout.split("Remarks of the bay that this answers:\n")[1]
    assert told == (
        "  fit-tf-220, step 14 “Move the boost-pressure sensor to the new cooler” is changed, "
        "which was remarked on in 13 jobs (unclear 13): “which way round the seal goes”\n"
    )
    answers = json.loads(run("compare", "older", "--format", "json").stdout)["answers"]
    assert [(each["step"], each["jobs"]) for each in answers] == [(14, 13)]
    markdown = run("compare", "older", "--format", "markdown").stdout
    assert "### Remarks of the bay that this answers\n\n- fit-tf-220, step 14" in markdown
    assert json.loads(run("compare", "docs", "--format", "json").stdout)["answers"] == []


# -- recall ------------------------------------------------------------------------------------


def newer(shop: Path, name: str, *changes: tuple[str, str, str]) -> str:
    """A copy of the pages with texts of some of them changed."""
    folder = shop / name
    shutil.copytree(shop / "docs", folder)
    for page, old, new in changes:
        path = folder / page
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new), encoding="utf-8")
    return name


def recalled(*words: str) -> list[dict[str, Any]]:
    result = run("recall", *words, "--format", "json")
    rows: list[dict[str, Any]] = json.loads(result.stdout)["jobs"]
    assert result.exit_code == (1 if rows else 0)
    return rows


def test_jobs_done_to_a_torque_that_changed(shop: Path) -> None:
    name = newer(shop, "torque", ("kits/tf-220.md", "[10 N·m, 22 N·m]", "[10 N·m, 24 N·m]"))
    rows = recalled("docs", name)
    assert len(rows) == 53  # 27 of revision B, 26 of C: the torque was the same in both
    assert {row["done_to"] for row in rows} == {"old"}
    assert {(row["thing"], row["topic"]) for row in rows} == {("cooler-220-bolts", "torque")}
    assert [row["day"] for row in rows] == sorted(row["day"] for row in rows)
    assert all(len(row["readings"]) == 2 for row in rows)
    text = run("recall", "docs", name).stdout
    assert "check torque of Charge-air cooler TF-220 bolts (cooler-220-bolts): 10 N·m, 22 " in text
    assert text.endswith(f"docs → {name}: 1 change that can concern a car; 53 jobs to look at.\n")
    table = list(csv.DictReader(io.StringIO(run("recall", "docs", name, "--format", "csv").stdout)))
    assert len(table) == 53


def test_jobs_whose_car_has_not_the_joint_are_left_out(shop: Path) -> None:
    name = newer(shop, "eye", ("vehicles/tarrow-finch.md", "60 N·m", "65 N·m"))
    rows = [row for row in recalled("docs", name) if row["thing"] == "towing-eye"]
    assert rows
    assert {row["car"]["tow-eye"] for row in rows} == {"fitted"}


def test_a_part_that_changed_under_one_revision_can_not_be_told(shop: Path) -> None:
    name = newer(shop, "class", ("kits/tf-220.md", 'class: "8.8"', 'class: "10.9"'))
    rows = [row for row in recalled("docs", name) if row["thing"] == "cooler-220-bolts"]
    assert {row["done_to"] for row in rows} == {"unknown"}
    assert "the record can't tell: look at the car" in run("recall", "docs", name).stdout


def test_a_change_that_concerns_no_car(shop: Path) -> None:
    name = newer(shop, "words", (PAGE, "Nothing is cut and nothing is drilled.", "Nothing is cut."))
    assert recalled("docs", name) == []
    assert "no job in the archive is concerned" in run("recall", "docs", name).stdout


def test_jobs_done_to_the_new_number_are_not_named(shop: Path) -> None:
    name = newer(shop, "former", ("kits/tf-220.md", "[10 N·m, 22 N·m]", "[10 N·m, 20 N·m]"))
    assert recalled(name, "docs") == []
