"""Each target of the long run holds on a few examples, and what fails is told with its seed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import strategies as st

from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.reading.reader import read_page
from tests.fuzz.__main__ import main
from tests.fuzz.edits import Edit, edited
from tests.fuzz.manuals import Spoilt, bases
from tests.fuzz.running import run
from tests.fuzz.shortcuts import laid_out
from tests.fuzz.targets import TARGETS, Target

FEW = {"built": 10, "drawn": 2, "page": 3, "fix": 3, "compare": 3}


@pytest.mark.parametrize("name", TARGETS)
def test_a_target_holds_on_a_few_examples(name: str) -> None:
    few = replace(TARGETS[name], each=FEW.get(name, 20))
    _, tally = next(run({name: few}, minutes=1, first=7))
    assert tally.failures == []
    assert tally.examples >= few.each


def test_a_failure_is_told_with_its_seed_and_its_smallest_example() -> None:
    def short(text: str) -> None:
        assert len(text) < 4

    _, tally = next(run({"x": Target(st.text("ab"), short, 200)}, minutes=1, first=3))
    (failure,) = tally.failures
    assert failure.startswith("seed 3\n")
    assert "AssertionError" in failure
    assert "'aaaa'" in failure


def test_the_report_names_each_target(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["0.001", "--only", "short"]) == 0
    said = capsys.readouterr().out.split("\n")
    assert said[1].split()[:3] == ["short", "1,000", "0"]
    assert said[-2].startswith("most memory of the process: ")


@pytest.mark.parametrize(
    ("kind", "text", "lines"),
    [
        ("cut", "", "a|d"),
        ("double", "", "a|b|c|b|c|d"),
        ("move", "", "a|b|c|d"),
        ("splice", "", "a|Y|Z|b|c|d"),
        ("put", "\x00", "a|b\x00|c|d"),
        ("join", "", "a|b c|d"),
        ("indent", "", "a| b|c|d"),
    ],
)
def test_edits(kind: str, text: str, lines: str) -> None:
    assert edited("a|b|c|d".replace("|", "\n"), "X\nY\nZ", (Edit(kind, 1, 1, text),)).split(
        "\n"
    ) == lines.split("|")


def test_a_page_is_laid_out_with_its_lines() -> None:
    page = read_page(b"# T\n\n```{parts}\na: {name: A}\n```\nThe {part}`a`.\n", "a.md")
    assert [("a", 4), [(("name", 4), ("A", 4))]] in [
        list(pair) for pair in laid_out(page.blocks[0].data)
    ]
    moved = replace(page, roles=(replace(page.roles[0], target=Scalar("a", 7)),))
    assert moved == page
    assert laid_out(moved) != laid_out(page)


def test_the_same_edits_give_the_same_manual() -> None:
    base = "seat"
    page = next(name for name in bases()[base].texts if not name.startswith("zz"))
    spoilt: Any = Spoilt(base, page, (Edit("word", 20, 1, "tighten"),), (50, 0xE9))
    assert spoilt.text == replace(spoilt).text
    assert "\udce9" in spoilt.text
    assert spoilt.after.contents[page] == replace(spoilt).after.contents[page]
