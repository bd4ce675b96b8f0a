"""``procedures check --changed-since``: what a change can touch, in a real repository."""

from __future__ import annotations

import json
import shutil
from typing import TYPE_CHECKING

import pytest

from tests.cli.repository import commit_all
from tests.cli.world import UNREADABLE, run, write
from tests.mule import PROCEDURE, VEHICLE

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
MISSPELT = VEHICLE.replace("cover: {name", "covr: {name")


def checks(*words: str) -> list[tuple[str, str]]:
    """The page and the check of each finding."""
    result = run("check", "--format", "json", *words)
    assert result.exit_code in {0, 1}, result.stderr
    return [(f["page"], f["check"]) for f in json.loads(result.stdout)["findings"]]


def test_nothing_changed(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    commit_all(manual)
    assert checks() != []
    result = run("check", "--changed-since", "HEAD", "--verbose")
    assert (result.exit_code, result.stdout) == (0, "0 pages, no findings\n")


def test_pages_that_lean_on_a_changed_one_are_checked(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    commit_all(manual)
    write(manual, {"docs/vehicles/mule.md": MISSPELT})
    full = checks()
    some = checks("--changed-since", "HEAD")
    assert {page for page, _ in some} >= {"procedures/renew-cover.md"}
    assert some == [found for found in full if found[0] != "bad.md"]
    *_, summary, count = run("check", "--changed-since", "HEAD").stdout.splitlines()
    assert summary.endswith("of 2 pages")
    assert count.startswith("not judged: 9 numbers typed once, 1 procedure not walked (")


def test_a_change_that_mends_nothing_but_its_own_page(manual: Path) -> None:
    commit_all(manual)
    write(manual, {"docs/procedures/renew-cover.md": PROCEDURE + "\n    One more line.\n"})
    assert run("check", "--changed-since", "HEAD", "--verbose").stdout == "1 page, no findings\n"


def test_a_page_that_is_gone(manual: Path) -> None:
    commit_all(manual)
    (manual / "docs" / "vehicles" / "mule.md").unlink()
    assert checks("--changed-since", "HEAD") == checks() != []


def test_new_pages_count_before_they_are_added(manual: Path) -> None:
    commit_all(manual)
    write(manual, {"docs/bad.md": UNREADABLE})
    assert checks("--changed-since", "HEAD") == [("bad.md", "unknown-field")]


def test_another_shop_file_touches_every_page(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    commit_all(manual)
    write(manual, {"conf/shop.toml": '[shop]\nnam = "Shop"\n'})
    assert checks("--changed-since", "HEAD") == checks()


def test_a_shop_file_outside_of_the_repository(
    manual: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    commit_all(manual)
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    write(elsewhere, {"shop.toml": '[shop]\nname = "Shop"\n'})
    words = ("--shop", str(elsewhere / "shop.toml"))
    assert checks("--changed-since", "HEAD", *words) == checks(*words) != []


def test_paths_and_revision_narrow_both(manual: Path) -> None:
    commit_all(manual)
    write(manual, {"docs/bad.md": UNREADABLE, "docs/vehicles/bad.md": UNREADABLE})
    words = ("--changed-since", "HEAD", "docs/vehicles")
    assert checks(*words) == [("vehicles/bad.md", "unknown-field")]


def test_a_linked_page_counts_as_changed(manual: Path) -> None:
    write(manual, {"docs/page.md": UNREADABLE})
    (manual / "docs" / "linked.md").symlink_to(manual / "docs" / "page.md")
    commit_all(manual)
    assert checks("--changed-since", "HEAD") == [("linked.md", "unknown-field")]


@pytest.mark.parametrize("revision", ["nothing", "--help", "-n"])
def test_no_such_revision(manual: Path, revision: str) -> None:
    commit_all(manual)
    result = run("check", f"--changed-since={revision}")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "revision" in result.stderr


def test_no_repository(manual: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(manual.parent))
    result = run("check", "--changed-since", "HEAD")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "is in no git repository" in result.stderr
