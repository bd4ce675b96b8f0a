"""Empty words on the command line: refused everywhere, and never taken as left out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
import pytest

from procedures_lib.fronts.cli.arguments import PathWord, Word, find_folders
from procedures_lib.fronts.cli.program import COMMANDS, command
from procedures_lib.fronts.cli.revision import state_named
from procedures_lib.fronts.cli.terminal import Refused
from tests.cli.repository import commit_all
from tests.cli.world import run

if TYPE_CHECKING:
    from pathlib import Path

WORDS = (
    ("compare", "{}"),
    ("compare", "HEAD", "{}"),
    ("compare", "{}", "HEAD"),
    ("compare", "--manual", "{}"),
    ("check", "{}"),
    ("check", "docs", "{}"),
    ("check", "--changed-since", "{}"),
    ("check", "--manual", "{}"),
    ("check", "--shop", "{}"),
    ("fix", "{}"),
    ("fix", "--write", "{}"),
    ("build", "--output", "{}"),
    ("build", "--changes-since", "{}"),
    ("build", "--manual", "{}"),
    ("serve", "--manual", "{}"),
    ("serve", "--host", "{}"),
    ("card", "{}"),
    ("card", "renew-cover", "--output", "{}"),
    ("export", "{}"),
    ("table", "torque", "{}"),
    ("back-out", "{}", "--at", "1"),
    ("back-out", "renew-cover", "--at", "{}"),
    ("dyno", "{}"),
    ("order", "{}", "8"),
    ("order", "circle", "{}"),
    ("record", "{}"),
    ("explain", "{}"),
    ("explain", "bad-id", "--manual", "{}"),
    ("schema", "{}"),
    ("schema", "--output", "{}"),
    ("new", "common", "{}"),
    ("new", "common", "wait", "--in", "{}"),
    ("new", "common", "wait", "--title", "{}"),
    ("new", "kit", "box", "--vehicle", "{}"),
    ("new", "procedure", "fit", "--kit", "{}"),
    ("new", "job", "both", "--procedure", "{}"),
)


def files_in(folder: Path) -> set[Path]:
    """The files below a folder, git's own left out."""
    return {path for path in folder.rglob("*") if ".git" not in path.parts}


@pytest.mark.parametrize("blank", ["", "  ", "\t\n"])
@pytest.mark.parametrize("words", WORDS, ids=" ".join)
def test_a_blank_word_is_refused(manual: Path, words: tuple[str, ...], blank: str) -> None:
    commit_all(manual)
    before = files_in(manual)
    result = run(*(blank if word == "{}" else word for word in words))
    assert (result.exit_code, result.stdout) == (2, "")
    if "--host" not in words:
        assert "it is empty: write what is meant" in result.stderr
    assert files_in(manual) == before, "something was written"


def test_the_message_names_the_word_and_the_cure(manual: Path) -> None:
    commit_all(manual)
    needed, left = run("record", "").stderr, run("compare", "HEAD", "").stderr
    assert "Invalid value for 'FILE': it is empty: write what is meant.\n" in needed
    assert "'[NEW]': it is empty: write what is meant, or leave it out altogether." in left
    assert "Invalid value for '--output'" in run("build", "--output", "").stderr


def test_what_is_left_out_keeps_its_default(manual: Path) -> None:
    commit_all(manual)
    assert run("compare").stdout == "HEAD → the pages now: No difference.\n"
    assert run("compare", "HEAD").stdout == "HEAD → the pages now: No difference.\n"
    for words in (("check",), ("fix",), ("explain",), ("schema",)):
        assert run(*words).exit_code != 2


def test_an_empty_word_is_no_state_of_the_manual(manual: Path) -> None:
    with pytest.raises(Refused, match="neither a folder of pages nor a revision"):
        state_named("", find_folders(manual))


def test_every_path_of_every_command_is_one_that_may_not_be_blank() -> None:
    for name in COMMANDS:
        for param in command(name).params:
            if isinstance(param.type, click.Path):
                assert isinstance(param.type, PathWord), (name, param.name)
            if param.metavar in {"REV", "ID", "[OLD]", "[NEW]", "FOLDER"}:
                assert isinstance(param.type, Word), (name, param.name)
