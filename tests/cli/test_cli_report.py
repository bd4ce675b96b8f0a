"""The words of the report, its colours and its progress bar."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.fronts.cli.arguments import Folders
from procedures_lib.fronts.cli.checked_manual import Checked
from procedures_lib.fronts.cli.report import finding_text, report_text
from procedures_lib.fronts.cli.terminal import LONG, has_colour, progress
from tests.cli.world import undented

PAGES = ("a.md", "b.md", "c.md")


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Say so."""
        return True


@pytest.fixture
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Folders:
    monkeypatch.chdir(tmp_path)
    return Folders(tmp_path / "docs", tmp_path / "conf", tmp_path / "conf" / "shop.toml")


def found(page: str, level: Level = Level.ERROR) -> Finding:
    return Finding(Place(page, 3), "left-loose", "`b` is loose", level=level)


def plain(text: str) -> str:
    return text.replace("\x1b[31m\x1b[1m", "").replace("\x1b[1m", "").replace("\x1b[0m", "")


def test_a_finding_with_all_it_can_have(folders: Folders) -> None:
    finding = Finding(
        Place("a.md", 12),
        "left-loose",
        "`bolts` are loose",
        "tighten `bolts`",
        variants="tow-eye=fitted",
        related=(Place("b.md", 4), Place("a.md", 9)),
    )
    assert plain(finding_text(finding, folders)) == undented(
        """
        docs/a.md:12: error: left-loose: `bolts` are loose [tow-eye=fitted]
            tighten `bolts`
            see docs/b.md:4
            see docs/a.md:9"""
    )


def test_the_report_ends_in_the_summary(folders: Folders) -> None:
    checked = Checked(PAGES, (found("a.md"),))
    lines = plain(report_text(checked, folders)).splitlines()
    assert lines == ["docs/a.md:3: error: left-loose: `b` is loose", "1 error in 1 of 3 pages"]


@pytest.mark.parametrize(
    ("findings", "words"),
    [
        ([], "3 pages, no findings"),
        ([found("a.md")], "1 error in 1 of 3 pages"),
        ([found("a.md", Level.WARNING)], "1 warning in 1 of 3 pages"),
        (
            [found("a.md"), found("b.md"), found("b.md", Level.WARNING)],
            "2 errors, 1 warning in 2 of 3 pages",
        ),
        ([found("shop.toml")], "1 error in conf/shop.toml"),
        (
            [found("shop.toml"), found("b.md")],
            "2 errors in conf/shop.toml and 1 of 3 pages",
        ),
    ],
)
def test_the_summary(findings: list[Finding], words: str, folders: Folders) -> None:
    assert Checked(PAGES, tuple(findings)).summary(folders) == words


def test_a_page_can_not_steer_the_terminal(folders: Folders) -> None:
    # ECMA-48: ESC [ 2 J clears the screen
    finding = Finding(Place("a.md", 1), "unknown-id", "`\x1b[2J\x07` is\nunknown", "\x9b2J")
    text = plain(finding_text(finding, folders))
    assert text.splitlines() == [
        r"docs/a.md:1: error: unknown-id: `\x1b[2J\x07` is unknown",
        r"    \x9b2J",
    ]


@pytest.mark.parametrize(
    ("choice", "terminal", "environment", "expected"),
    # no-color.org: set and not empty, whatever its value; the command line goes before it
    [
        ("auto", True, {}, True),
        ("auto", False, {}, False),
        ("auto", True, {"NO_COLOR": "1"}, False),
        ("auto", True, {"NO_COLOR": ""}, True),
        ("auto", True, {"TERM": "dumb"}, False),
        ("always", False, {"NO_COLOR": "1"}, True),
        ("never", True, {}, False),
    ],
)
def test_when_to_colour(
    choice: str,
    terminal: bool,
    environment: dict[str, str],
    expected: bool,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for name in ("NO_COLOR", "TERM"):
        monkeypatch.delenv(name, raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert has_colour(choice, Terminal() if terminal else io.StringIO()) is expected


@pytest.mark.parametrize(
    ("pages", "stream", "shown"),
    [
        (LONG + 1, Terminal(), True),
        (LONG, Terminal(), False),
        (LONG + 1, io.StringIO(), False),
    ],
)
def test_a_bar_for_long_work_on_a_terminal(
    pages: int, stream: io.StringIO, shown: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stderr", stream)
    with progress(pages, 2, "Checking pages") as done:
        for _ in range(pages * 2):
            done()
    assert ("Checking pages" in stream.getvalue()) is shown
    assert ("100%" in stream.getvalue()) is shown
