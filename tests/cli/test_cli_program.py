"""The program around the commands: help, version, exit codes, faults."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.terminal import ExitCode
from tests.cli.world import UNREADABLE, run, start, write

if TYPE_CHECKING:
    from pathlib import Path

COMMANDS = (
    "recall",
    "learn",
    "archive",
    "check",
    "compare",
    "table",
    "back-out",
    "build",
    "dyno",
    "editor",
    "serve",
    "start",
    "order",
    "witness",
    "wrench",
    "joint",
    "card",
    "export",
    "new",
    "explain",
    "fix",
    "schema",
    "record",
    "take-over",
)


def break_check(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    def broken(*_: object) -> None:
        raise error

    monkeypatch.setattr("procedures_lib.fronts.cli.check.read_and_check", broken)


@pytest.mark.parametrize("words", [(), *((command,) for command in COMMANDS)])
def test_help_names_every_exit_code(words: tuple[str, ...]) -> None:
    result = run(*words, "--help")
    assert result.exit_code == 0
    listed = result.stdout.split("Exit codes:\n")[1].splitlines()
    codes = [int(line.split()[0]) for line in listed if line.strip()]
    assert codes == [code for code in ExitCode if code is not ExitCode.PIPE_CLOSED]


def test_help_names_every_command() -> None:
    listed = run("--help").stdout.split("Commands:\n")[1].split("\n\n")[0]
    assert sorted(line.split()[0] for line in listed.splitlines()) == sorted(COMMANDS)


def test_version() -> None:
    assert run("--version").stdout.startswith("procedures, version ")


@pytest.mark.parametrize("words", [("chek",), ("check", "--formt", "json"), ("check", "--format")])
def test_words_that_are_no_command_are_refused(words: tuple[str, ...]) -> None:
    result = run(*words)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "Error: " in result.stderr


def test_a_fault_is_told_without_a_traceback(manual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    break_check(monkeypatch, RuntimeError("a cog is loose"))
    result = run("check")
    assert (result.exit_code, result.stdout) == (3, "")
    assert "RuntimeError: a cog is loose" in result.stderr
    assert "report it" in result.stderr
    assert "Traceback" not in result.stderr


def test_debug_shows_the_traceback(manual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    break_check(monkeypatch, RuntimeError("a cog is loose"))
    result = run("--debug", "check")
    assert result.exit_code == 3
    assert "Traceback (most recent call last)" in result.stderr


def test_a_file_that_can_not_be_used_is_no_fault(
    manual: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    break_check(monkeypatch, PermissionError(13, "Permission denied", "docs/locked"))
    result = run("check")
    assert (result.exit_code, result.stderr) == (2, "Error: docs/locked: Permission denied\n")


def test_a_stop_by_hand(manual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    break_check(monkeypatch, KeyboardInterrupt())
    result = run("check")
    assert (result.exit_code, result.stderr) == (130, "\nStopped by hand.\n")


def test_the_module_is_the_command(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    process = start(manual, "check", "--format", "json")
    stdout, stderr = process.communicate()
    assert (process.returncode, stderr) == (1, "")
    assert stdout == run("check", "--format", "json").stdout
    assert json.loads(stdout)["pages"] == 3


@pytest.mark.skipif(sys.platform == "win32", reason="pipes close in another way")
def test_a_reader_that_leaves_is_no_fault(manual: Path) -> None:
    process = start(manual, "check", "--format", "json")
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    assert process.stderr.read() == ""
    process.stderr.close()
    assert process.wait() == 141
