"""The log of the protocol: every message by its method, and how long each answer took."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from lsprotocol.types import Position

from tests.cli.world import make_manual
from tests.editor.talking import Editor

if TYPE_CHECKING:
    from pathlib import Path

PAGE = "procedures/renew-cover.md"


def test_each_question_and_its_answer_stand_in_the_log(tmp_path: Path) -> None:
    make_manual(tmp_path)
    log = tmp_path / "log.txt"
    with Editor(tmp_path, log=str(log)) as editor:
        editor.open(PAGE)
        editor.hover(PAGE, Position(0, 0))
    rows = [re.fullmatch(r" *\d+ (->|<-) (\S+)(?: #\S+)? \d+ B(  after \d+ ms)?", line)
            for line in log.read_text("utf-8").splitlines()]  # fmt: skip
    assert None not in rows
    found = [(row[1], row[2], bool(row[3])) for row in rows if row]
    assert found[:2] == [("->", "initialize", False), ("<-", "initialize", True)]
    assert ("->", "textDocument/didOpen", False) in found
    assert ("<-", "textDocument/hover", True) in found
    assert found[-1][1] == "exit"
