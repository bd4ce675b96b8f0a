"""``procedures schema``: one block, all of them, and names that are nearly right."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from procedures_lib.fronts.formats.block_schema import block_schema
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS
from tests.cli.world import run

if TYPE_CHECKING:
    from pathlib import Path


def test_a_block() -> None:
    assert json.loads(run("schema", "fasteners").stdout) == block_schema("fasteners")


def test_the_list() -> None:
    listed = run("schema").stdout.splitlines()
    assert [line.split(":")[0] for line in listed] == list(BLOCK_KINDS)


def test_all_as_files(tmp_path: Path) -> None:
    result = run("schema", "--output", str(tmp_path / "out"))
    assert result.exit_code == 0
    assert len(list((tmp_path / "out").glob("*.json"))) == len(BLOCK_KINDS)


def test_a_block_that_is_none() -> None:
    result = run("schema", "fastners")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "did you mean `fasteners`?" in result.stderr
