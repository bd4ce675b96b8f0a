"""The workflow of pull requests and the hooks: read-only, nothing of a change is run.

What a workflow may hold is from GitHub's documentation of its syntax and its hardening guide; the
keys of a hook from pre-commit's documentation.
"""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import Any

import pytest
import yaml
from click import Command

from procedures_lib.fronts.cli import main

PROJECT = Path(__file__).resolve().parents[2]
WORKFLOWS = sorted((PROJECT / ".github" / "workflows").glob("*.yml"))
HOOKS: list[dict[str, Any]] = yaml.safe_load(
    (PROJECT / ".pre-commit-hooks.yaml").read_text("utf-8")
)
NEEDED = {"id", "name", "entry", "language"}
KNOWN = NEEDED | {"description", "files", "exclude", "pass_filenames", "require_serial"}


def workflow(path: Path) -> dict[Any, Any]:
    read: dict[Any, Any] = yaml.safe_load(path.read_text("utf-8"))
    return read


def steps(path: Path) -> list[dict[str, Any]]:
    return [step for job in workflow(path)["jobs"].values() for step in job["steps"]]


def commands(step: dict[str, Any]) -> list[list[str]]:
    lines = step.get("run", "").strip().split("\n")
    return [shlex.split(line.partition(" >>")[0]) for line in lines if line]


def assert_is_a_command(words: list[str]) -> None:
    """Words after ``procedures`` name a command, and options that it has."""
    found = main.commands[words[0]]
    assert isinstance(found, Command)
    known = {option for param in found.params for option in param.opts}
    assert {word for word in words[1:] if word.startswith("--")} <= known


def test_there_is_one() -> None:
    assert [path.name for path in WORKFLOWS] == ["manual.yml"]


@pytest.mark.parametrize("path", WORKFLOWS, ids=lambda path: path.name)
def test_a_workflow_may_only_read_and_holds_no_secret(path: Path) -> None:
    text, read = path.read_text("utf-8"), workflow(path)
    assert read["permissions"] == {"contents": "read"}
    assert not any("permissions" in job for job in read["jobs"].values())
    assert read[True] == {"pull_request": None}, "`on`: without the rights of the base branch"
    assert "secrets" not in text.replace("holds no secret", "")
    assert "GITHUB_TOKEN" not in text


@pytest.mark.parametrize("path", WORKFLOWS, ids=lambda path: path.name)
def test_actions_are_pinned_and_keep_no_credentials(path: Path) -> None:
    used = [step for step in steps(path) if "uses" in step]
    assert used
    for step in used:
        assert re.fullmatch(r"actions/checkout@[0-9a-f]{40}", step["uses"])
        assert step["with"]["persist-credentials"] is False


@pytest.mark.parametrize("path", WORKFLOWS, ids=lambda path: path.name)
def test_nothing_of_the_change_is_run(path: Path) -> None:
    for step in steps(path):
        assert "${{" not in step.get("run", ""), "no text of a change may become a command"
        for words in commands(step):
            if step["working-directory"] == "change":
                assert words[0] == "../base/.venv/bin/procedures"
                assert words[1] in {"check", "compare"}, "these only read"
                assert_is_a_command(words[1:])
            else:
                assert step["working-directory"] == "base"
    base = next(step for step in steps(path) if step.get("with", {}).get("path") == "base")
    assert base["with"]["ref"] == "${{ github.event.pull_request.base.sha }}"


@pytest.mark.parametrize("hook", HOOKS, ids=lambda hook: str(hook["id"]))
def test_a_hook_is_whole_and_its_words_are_a_command(hook: dict[str, Any]) -> None:
    assert NEEDED <= hook.keys() <= KNOWN
    assert hook["language"] == "python"
    program, *words = shlex.split(hook["entry"])
    assert program == "procedures"
    assert_is_a_command(words)


@pytest.mark.parametrize(
    ("hook", "path", "wanted"),
    [
        ("procedures-check", "docs/kits/tf-1.md", True),
        ("procedures-check", "docs/results/data/a.csv", True),
        ("procedures-check", "conf/shop.toml", True),
        ("procedures-check", "docs/kits/program.py", True),
        ("procedures-check", "README.md", False),
        ("procedures-fix", "docs/kits/tf-1.md", True),
        ("procedures-fix", "docs/_old/tf-1.md", False),
        ("procedures-fix", "docs/kits/.tf-1.md", False),
        ("procedures-fix", "docs/results/data/a.csv", False),
    ],
)
def test_hooks_run_for_the_files_of_a_manual(hook: str, path: str, wanted: bool) -> None:
    found = next(each for each in HOOKS if each["id"] == hook)
    left_out = "exclude" in found and re.search(found["exclude"], path)
    assert bool(re.search(found["files"], path) and not left_out) is wanted
