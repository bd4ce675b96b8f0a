"""Hostile pages: none is silent, and none does harm, whatever becomes of the build."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.findings import Level
from procedures_lib.judging.checks import check_page
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import DataFiles
from tests.hostile.attacks import attacks
from tests.hostile.trying import attempt, together, write

if TYPE_CHECKING:
    from pathlib import Path

    from procedures_lib.findings import Finding
    from tests.hostile.attacks import Attack

ALL = attacks()
PAGES = [attack for attack in ALL if not attack.links and [*attack.files] == ["attack.md"]]
OTHERS = [attack for attack in ALL if attack not in PAGES]


def errors(findings: list[Finding]) -> list[Finding]:
    """Those that stop a build."""
    return [found for found in findings if found.level is Level.ERROR]


def test_there_are_many_and_each_has_its_name() -> None:
    assert len({attack.name for attack in ALL}) == len(ALL) > 600
    assert len(OTHERS) > 15


def test_no_page_is_silent(tmp_path: Path) -> None:
    write(tmp_path, together([]))
    files = DataFiles(tmp_path / "project" / "docs")
    out = str(tmp_path / "outside")
    silent = []
    for attack in PAGES:
        raw = attack.files["attack.md"].replace("{out}", out).encode()
        manual = Manual([build(read_page(raw, "attack.md"))], files=files)
        found = errors(check_page(manual, "attack.md"))
        assert all(each.hint and each.place.line for each in found)
        silent += [] if found else [attack.name]
    assert silent == []


def test_no_page_does_harm_in_a_plain_build(tmp_path: Path) -> None:
    outcome = attempt(tmp_path, together(PAGES))
    assert {PAGES[int(n[1:5])].name if n[1:5].isdigit() else n: harm
            for n, harm in outcome.harm.items()} == {}  # fmt: skip
    assert (tmp_path / "site" / "a0001.html").is_file()


@pytest.mark.parametrize("attack", OTHERS, ids=lambda attack: attack.name)
def test_no_file_or_link_is_silent_or_does_harm(attack: Attack, tmp_path: Path) -> None:
    outcome = attempt(tmp_path, attack)
    found = errors(outcome.findings)
    assert found
    assert all(each.hint and each.place.line for each in found)
    assert outcome.harm == {}
