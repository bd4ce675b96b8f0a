"""``procedures export``: a whole procedure for a program."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from jsonschema import Draft202012Validator

from procedures_lib.fronts.formats.procedure_files import procedure_schema_text as schema_text
from tests.cli.world import run

if TYPE_CHECKING:
    from pathlib import Path


def test_json_by_the_schema(manual: Path) -> None:
    result = run("export", "renew-cover")
    assert (result.exit_code, result.stderr) == (0, "")
    value = json.loads(result.stdout)
    Draft202012Validator(json.loads(schema_text())).validate(value)
    assert [joint["id"] for joint in value["joints"]] == ["cover-bolts", "side-bolt"]


def test_only_some_cars(manual: Path) -> None:
    value = json.loads(run("export", "renew-cover", "--when", "transmission=automatic").stdout)
    assert value["when"] == "transmission=automatic"
    assert [joint["id"] for joint in value["joints"]] == ["cover-bolts"]


def test_how_to(manual: Path) -> None:
    value = json.loads(run("export", "renew-cover", "--format", "howto").stdout)
    assert [step["@type"] for step in value["step"]] == ["HowToStep", "HowToStep"]


def test_how_to_is_for_every_car(manual: Path) -> None:
    words = ("--format", "howto", "--when", "transmission=manual")
    result = run("export", "renew-cover", *words)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "do not go together" in result.stderr


def test_an_unknown_procedure_is_refused(manual: Path) -> None:
    result = run("export", "renew-covr")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "did you mean `renew-cover`?" in result.stderr


def test_errors_behind_it_are_told(manual: Path) -> None:
    page = manual / "docs" / "procedures" / "renew-cover.md"
    page.write_text(
        page.read_text("utf-8").replace("tighten side-bolt", "tighten syde-bolt"), "utf-8"
    )
    result = run("export", "renew-cover")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["procedure"] == "renew-cover"
    assert "procedures/renew-cover.md" in result.stderr
