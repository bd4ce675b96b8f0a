"""The workflows and the hooks: they may only read; where pages are read, no code of a change runs.

What a workflow may hold is from GitHub's documentation of its syntax and its hardening guide; the
keys of a hook from pre-commit's documentation.
"""

from __future__ import annotations

import os
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
import yaml
from click import Command

from procedures_lib.fronts.cli.program import command

PROJECT = Path(__file__).resolve().parents[2]
WORKFLOWS = sorted((PROJECT / ".github" / "workflows").glob("*.yml"))
STARTS = {
    "manual.yml": {"pull_request": None},
    "tests.yml": {"push": None, "pull_request": None},
}
"""The workflows, and what each is started by: by nothing that has the base branch's rights."""
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
    found = command(words[0])
    assert isinstance(found, Command)
    known = {option for param in found.params for option in param.opts}
    assert {word for word in words[1:] if word.startswith("--")} <= known


def test_there_are_two() -> None:
    assert [path.name for path in WORKFLOWS] == [*STARTS]


@pytest.mark.parametrize("path", WORKFLOWS, ids=lambda path: path.name)
def test_a_workflow_may_only_read_and_holds_no_secret(path: Path) -> None:
    text, read = path.read_text("utf-8"), workflow(path)
    assert read["permissions"] == {"contents": "read"}
    assert not any("permissions" in job for job in read["jobs"].values())
    assert read[True] == STARTS[path.name]  # `on` is a word for true
    assert all(job["timeout-minutes"] <= 30 for job in read["jobs"].values())
    assert "secrets" not in text.replace("holds no secret", "")
    assert "GITHUB_TOKEN" not in text


@pytest.mark.parametrize("path", WORKFLOWS, ids=lambda path: path.name)
def test_actions_are_pinned_and_keep_no_credentials(path: Path) -> None:
    used = [step for step in steps(path) if "uses" in step]
    assert used
    for step in used:
        assert re.fullmatch(r"actions/checkout@[0-9a-f]{40}", step["uses"])
        assert step["with"]["persist-credentials"] is False


def test_the_tests_are_run_as_on_any_machine() -> None:
    (path,) = (path for path in WORKFLOWS if path.name == "tests.yml")
    assert commands(steps(path)[-1]) == [[".ci/run"]]
    script = PROJECT / ".ci" / "run"
    assert os.access(script, os.X_OK)
    assert script.read_text("utf-8").endswith("\npython3 conf/bootstrap.py test\n")


def test_nothing_of_the_change_is_run_where_its_pages_are_read() -> None:
    (path,) = (path for path in WORKFLOWS if path.name == "manual.yml")
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
