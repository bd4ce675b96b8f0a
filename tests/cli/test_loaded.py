"""What a command loads: no package that is heavy, or for others, until it is used."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from procedures_lib.fronts.cli.program import COMMANDS
from tests.cli.repository import commit_all
from tests.cli.world import LIBRARY, write

CONF = 'extensions = ["procedures_lib.fronts.site"]\nhtml_theme = "bench"\n'
PAPER = {"reportlab", "segno"}
SPHINX = {"sphinx", "docutils", "myst_parser"}
SERVER = {"h11", "watchfiles"}
EDITOR = {"pygls", "lsprotocol"}
READING = {"markdown_it", "pydantic", "yaml"}
JUDGING = READING | {"pint"}
"""What a command loads that converts a quantity of a page, or of the shop's wrenches."""
WATCHED = sorted(
    {"filelock", "openpyxl", "pint", "pytest", "sybil", "concurrent.futures.process"}
    | PAPER | SPHINX | SERVER | EDITOR | READING
)  # fmt: skip

PROGRAM = """
import json, sys
sys.modules["dask"] = None  # comes with a library of the tests; pint loads it where it is
from procedures_lib.fronts.cli import main
for words in json.loads(sys.argv[1]):
    try:
        main(words, standalone_mode=False)
    except SystemExit as left:
        assert left.code in (0, None), (words, left.code)
print("\\n" + json.dumps([name for name in json.loads(sys.argv[2]) if name in sys.modules]))
"""

PRINTING = [
    ["check"],
    *(["check", "--format", form] for form in ("json", "sarif", "github", "junit")),
    ["check", "--changed-since", "HEAD"],
    ["table", "torque", "renew-cover"],
    ["table", "parts", "renew-cover", "--format", "csv"],
    ["table", "tools", "renew-cover", "--format", "json"],
    ["export", "renew-cover"],
    ["export", "renew-cover", "--format", "howto"],
    ["back-out", "renew-cover", "--at", "1"],
    ["compare"],
    ["explain", "unknown-id"],
    ["fix"],
    ["joint", "M8", "8.8", "25 N·m"],
    ["new", "common", "wait", "--print"],
    ["order", "circle", "8"],
    ["schema", "parts"],
    ["wrench", "12 N·m", "--help"],
]


def loaded(folder: Path, *commands: list[str]) -> set[str]:
    """Which of the packages a process has loaded that runs these commands one after another."""
    words = [PROGRAM, json.dumps(commands), json.dumps(WATCHED)]
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", *words],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(LIBRARY), "PYTHONUTF8": "1"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_the_version_needs_nothing_of_the_manual(tmp_path: Path) -> None:
    assert loaded(tmp_path, ["--version"]) == set()


def test_the_help_of_every_command_loads_nothing_heavy(tmp_path: Path) -> None:
    helps = [["--help"], *([name, "--help"] for name in COMMANDS)]
    assert loaded(tmp_path, *helps) == READING


def test_commands_that_print_load_what_reads_pages_and_no_more(manual: Path) -> None:
    commit_all(manual)
    assert loaded(manual, *PRINTING) == JUDGING


def test_a_list_in_text_is_taken_over_without_what_reads_workbooks(manual: Path) -> None:
    write(manual, {"list.csv": "Bolt,Torque\nCover bolts,10 Nm\n", "work.txt": "Fit the cover\n"})
    assert loaded(manual, ["take-over", "list.csv"], ["take-over", "work.txt"]) <= JUDGING


def test_a_card_loads_what_draws_it(manual: Path) -> None:
    assert loaded(manual, ["card", "renew-cover"]) == JUDGING | PAPER
    assert (manual / "renew-cover.pdf").is_file()


@pytest.mark.parametrize("words", [["build"], ["build", "--no-check"]])
def test_a_site_without_cards_needs_no_paper(manual: Path, words: list[str]) -> None:
    write(manual, {"docs/index.md": "# The manual\n\n```{toctree}\n:glob:\n\n*/*\n```\n"})
    write(manual, {"conf/conf.py": CONF})
    assert loaded(manual, words) == JUDGING | SPHINX | {"filelock"}


def test_a_build_that_errors_stop_needs_no_sphinx(manual: Path) -> None:
    write(manual, {"docs/bad.md": "# Bad\n\n```{parts}\nlid: {nam: Lid}\n```\n"})
    assert loaded(manual, ["build"]) == JUDGING
