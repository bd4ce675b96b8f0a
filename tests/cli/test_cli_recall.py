"""``procedures recall`` where states can't be held against each other, and where names changed."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from tests.cli.test_cli_learn import newer, shop, there
from tests.cli.world import run

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

__all__ = ["shop", "there"]

KIT, PAGE = "kits/tf-220.md", "procedures/fit-tf-220.md"
TORQUE = "[10 N·m, 22 N·m]"
BROKEN = (KIT, TORQUE, "[10 N·m, 44 N·m")
NO_KIT = (KIT, "fits:", "fits: [")


def told(*words: str) -> dict[str, Any]:
    result = run("recall", *words, "--format", "json")
    value: dict[str, Any] = json.loads(result.stdout)
    assert result.exit_code == (1 if value["jobs"] or value["not_compared"] else 0)
    return value


@pytest.mark.parametrize(("n", "change"), [(0, BROKEN), (1, NO_KIT)])
@pytest.mark.parametrize("side", ["old", "new"])
def test_what_can_not_be_read_is_named_with_the_jobs_done_by_it(
    shop: Path, n: int, change: tuple[str, str, str], side: str
) -> None:
    name = newer(shop, f"unread-{n}-{side}", change)
    states = (name, "docs") if side == "old" else ("docs", name)
    value = told(*states)
    (gap,) = value["not_compared"]
    line = (shop / name / KIT).read_text().split("\n").index("```{kit} tf-220") + 1
    assert gap["file"] == f"{name}/{KIT}"
    assert gap["line"] > line
    assert gap["side"] == side
    assert "broken YAML" in gap["what"]
    assert {job["procedure"] for job in value["jobs"]} == {"fit-tf-220"}
    assert {job["done_to"] for job in value["jobs"]} == {"not-compared"}
    assert len(value["jobs"]) == 53
    text = run("recall", *states).stdout
    assert text.startswith(f"{name}/{KIT}:{gap['line']} ({side}): not compared: ")
    assert text.endswith("0 changes that can concern a car, 1 not compared; 53 jobs to look at.\n")


def test_a_broken_block_names_the_joint_that_is_lost_by_it(shop: Path) -> None:
    name = newer(shop, "lost", BROKEN)
    (gap,) = told("docs", name)["not_compared"]
    assert gap["what"].startswith("`cooler-220-bolts`: broken YAML")
    told_twice = run("recall", "docs", name, "--format", "csv")
    assert f"{name}/{KIT}:{gap['line']} (new): not compared" in told_twice.stderr
    assert "not-compared" in told_twice.stdout


@pytest.mark.parametrize(("page", "thing"), [(PAGE, "procedure `fit-tf-220`"),
                                             (KIT, "kit `tf-220`")])  # fmt: skip
def test_what_was_withdrawn_is_named_with_the_jobs_done_by_it(
    shop: Path, page: str, thing: str
) -> None:
    name = newer(shop, f"without-{page[:4]}")
    (shop / name / page).unlink()
    value = told("docs", name)
    gap = value["not_compared"][0]
    assert (gap["file"], gap["side"]) == (f"docs/{page}", "old")
    assert gap["what"] == f"{thing}: the new state has it no more"
    assert len({job["name"] for job in value["jobs"]}) == 53


def _procedure(folder: Path) -> None:
    for path in folder.rglob("*.md"):
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("fit-tf-220", "fit-tf-221"), encoding="utf-8")
    (folder / PAGE).rename(folder / "procedures/fit-tf-221.md")


def _joint(folder: Path) -> None:
    for path in folder.rglob("*.md"):
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("cooler-220-bolts", "new-cooler-bolts"), encoding="utf-8")


@pytest.mark.parametrize("rename", [_procedure, _joint])
def test_renames_are_followed(shop: Path, rename: Callable[[Path], None]) -> None:
    name = newer(shop, f"renamed{rename.__name__}", (KIT, TORQUE, "[10 N·m, 30 N·m]"))
    rename(shop / name)
    value = told("docs", name)
    assert value["not_compared"] == []
    assert len(value["jobs"]) == 53
    assert {job["done_to"] for job in value["jobs"]} == {"old"}
    assert all(len(job["readings"]) == 2 for job in value["jobs"])


def test_without_the_sheet_of_the_day_the_car_is_told_by_both_states(shop: Path) -> None:
    name = newer(shop, "automatic", (KIT, "tighten: 9 N·m", "tighten: 11 N·m"))
    kept = {path: path.read_bytes() for path in (shop / "archive/sheets").glob("*.json")}
    try:
        for path in kept:
            path.unlink()
        value = told("docs", name)
    finally:
        for path, content in kept.items():
            path.write_bytes(content)
    assert {job["done_to"] for job in value["jobs"]} >= {"unknown"}
    assert {job["car"]["transmission"] for job in value["jobs"]} == {"automatic"}
