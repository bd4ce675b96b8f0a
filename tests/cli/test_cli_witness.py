"""``procedures witness``: each number, and where it stands a second time."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from tests.cli.world import make_manual, run

CAR = "vehicles/mule.md"


@pytest.fixture
def manual(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    make_manual(tmp_path)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.usefixtures("manual")
def test_each_number_stands_with_its_line_and_witness() -> None:
    result = run("witness")
    lines = result.stdout.splitlines()
    assert (result.exit_code, lines[0]) == (0, f"docs/{CAR}")
    assert "  cover-bolts (Mule sheet 1)" in lines
    assert any(line.endswith("hex 10 mm: standard, ISO 4014") for line in lines)
    assert any("89 lbf·in: double entry, " in line for line in lines)
    assert lines[-1] == "11 numbers: 9 double entry, 2 standard"
    assert all(len(line) <= 80 for line in lines)


@pytest.mark.usefixtures("manual")
def test_only_what_has_none() -> None:
    page = Path("docs") / CAR
    page.write_text(
        page.read_text("utf-8").replace("condition dry, 89 lbf·in", "89 lbf·in"), "utf-8"
    )
    lines = run("witness", "--missing").stdout.splitlines()
    assert next(line.strip() for line in lines if ":" in line).endswith("condition dry: none")
    assert lines[-1] == "11 numbers: 8 double entry, 2 standard, 1 none"


@pytest.mark.usefixtures("manual")
def test_json_and_csv_hold_the_same() -> None:
    told = json.loads(run("witness", "--format", "json").stdout)
    rows = list(csv.DictReader(run("witness", "--format", "csv").stdout.splitlines()))
    assert told["format"] == 1
    assert len(told["numbers"]) == len(rows) == sum(told["counts"].values()) == 11
    first, row = told["numbers"][0], rows[0]
    assert (f"{first['page']}:{first['line']}", first["thing"], first["field"]) == (
        row["place"],
        row["thing"],
        row["field"],
    )
    assert first["witness"] == "double entry"


@pytest.mark.usefixtures("manual")
def test_a_page_of_its_own_and_one_that_is_not_there() -> None:
    assert run("witness", "docs/procedures").stdout == "No numbers here.\n"
    assert run("witness", "docs/gone.md").exit_code == 2
