"""docs/reference/hardening.md says what is tested: each sentence names a test that there is."""

from __future__ import annotations

import ast
import re
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[1]
PAGE = PROJECT / "docs" / "reference" / "hardening.md"


def named() -> list[tuple[str, str]]:
    """Each sentence of the table with the test that it names."""
    part = PAGE.read_text("utf-8").split("## What holds")[1].split("\n## ")[0]
    return re.findall(r"^\| (.+?) \| `(tests/[^`]+)` \|$", part, re.MULTILINE)


def test_every_sentence_names_a_test_that_there_is() -> None:
    rows = named()
    assert len(rows) > 35
    for sentence, test in rows:
        file, _, name = test.partition("::")
        tree = ast.parse((PROJECT / file).read_text("utf-8"))
        functions = {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
        assert name in functions, sentence


def test_no_sentence_stands_beside_the_table() -> None:
    part = PAGE.read_text("utf-8").split("## What holds")[1].split("\n## ")[0]
    rows = [line for line in part.splitlines() if line.startswith("| ")]
    assert len(rows) == len(named()) + 1  # the header
