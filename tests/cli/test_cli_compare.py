"""``procedures compare`` on real repositories and folders, and what it refuses."""

from __future__ import annotations

import json
import shutil
from typing import TYPE_CHECKING

import pytest

from tests.cli.repository import commit_all, git
from tests.cli.world import make_manual, run, write

if TYPE_CHECKING:
    from pathlib import Path

    from click.testing import Result

CAR = "docs/vehicles/mule.md"
OLD, NEW = "tighten: [hand, 89 lbf·in]", "tighten: [hand, 80 lbf·in]"


def edit(folder: Path, old: str, new: str, page: str = CAR) -> None:
    path = folder / page
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


@pytest.fixture
def repository(manual: Path) -> Path:
    """The folder of a small manual, the current one, with one commit."""
    commit_all(manual)
    return manual


def torques(result: Result) -> list[tuple[str, str, str]]:
    """What a JSON report says of torques: (page, old, new)."""
    changes = json.loads(result.stdout)["changes"]
    return [(c["page"], c["old"], c["new"]) for c in changes if c["topic"] == "torque"]


CHANGED = [("vehicles/mule.md", "hand, 89 lbf·in", "hand, 80 lbf·in")]


def test_the_pages_now_against_the_last_commit(repository: Path) -> None:
    result = run("compare")
    assert (result.exit_code, result.stdout) == (0, "HEAD → the pages now: No difference.\n")
    edit(repository, OLD, NEW)
    result = run("compare")
    assert result.exit_code == 1
    assert f"{CAR}:22: torque of Cover bolts (cover-bolts): hand, 89" in result.stdout
    assert "used in renew-cover (step 2)" in result.stdout
    assert result.stdout.startswith("Can damage the car:\n")
    assert "changed-without-source" in result.stdout
    assert "Printed cards out of date: renew-cover revision A.\n" in result.stdout


def test_a_change_with_its_source_is_clean(repository: Path) -> None:
    edit(repository, f"{OLD}\n  source: Mule sheet 1", f"{NEW}\n  source: Mule sheet 1, issue 2")
    edit(repository, "revision: A", "revision: B", "docs/procedures/renew-cover.md")
    result = run("compare", "--format", "json")
    assert (result.exit_code, torques(result)) == (0, CHANGED)


def test_two_revisions(repository: Path) -> None:
    first = git(repository, "rev-parse", "HEAD").strip()
    git(repository, "branch", "before")
    edit(repository, OLD, NEW)
    second = commit_all(repository)
    edit(repository, NEW, "tighten: [hand, 1 N·m]")
    for old, new in ((first, second), ("before", "HEAD"), ("HEAD~1", second[:12])):
        result = run("compare", old, new, "--format", "json")
        assert torques(result) == CHANGED
        assert json.loads(result.stdout)["old"] == old


def test_two_folders(repository: Path, tmp_path: Path) -> None:
    shutil.copytree(repository, tmp_path / "copy")
    edit(repository, OLD, NEW)
    for name in ("copy", "copy/docs"):
        result = run("compare", str(tmp_path / name), "docs", "--format", "json")
        assert torques(result) == CHANGED


def test_paths_are_those_of_the_new_folder(repository: Path, tmp_path: Path) -> None:
    shutil.copytree(repository, tmp_path / "copy")
    edit(tmp_path / "copy", OLD, NEW)
    result = run("compare", "docs", str(tmp_path / "copy"))
    assert "\n  ../copy/docs/vehicles/mule.md:22: torque of Cover bolts" in result.stdout


def test_a_folder_wins_over_a_branch_of_its_name(repository: Path) -> None:
    git(repository, "branch", "docs")
    edit(repository, OLD, NEW)
    assert run("compare", "docs").stdout.endswith("docs → the pages now: No difference.\n")
    result = run("compare", "refs/heads/docs", "--format", "json")
    assert torques(result) == CHANGED


def test_nothing_is_checked_out_or_written(repository: Path) -> None:
    edit(repository, OLD, NEW)
    before = {path: path.read_bytes() for path in repository.rglob("*") if path.is_file()}
    run("compare", "HEAD", "HEAD")
    run("compare")
    after = {path: path.read_bytes() for path in repository.rglob("*") if path.is_file()}
    assert after == before


@pytest.mark.parametrize(
    "revision",
    ["-x", "--help", "--output=/tmp/x", "--upload-pack=touch x", "HEAD:docs", "HEAD..HEAD",
     "nonsense", "$(touch x)", "; touch x", "a\nb", "a\x00b", "x" * 5000, "@{-1}", "HEAD^{tree}",
     "refs/../../x", " "],
)  # fmt: skip
def test_no_revision_at_all(repository: Path, revision: str) -> None:
    files = sorted(repository.iterdir())
    result = run("compare", "--", revision)
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert sorted(repository.iterdir()) == files


@pytest.mark.usefixtures("manual")
def test_no_repository_is_said() -> None:
    result = run("compare")
    assert result.exit_code == 2
    assert "is in no git repository" in result.output


def test_a_revision_before_there_were_pages(repository: Path) -> None:
    git(repository, "checkout", "--quiet", "--orphan", "empty")
    git(repository, "rm", "--quiet", "-r", "--cached", ".")
    git(repository, "commit", "--quiet", "--allow-empty", "--message", "Nothing")
    result = run("compare", "empty", "main")
    assert result.exit_code == 2
    assert "at the revision empty there were no pages in docs" in result.output


def test_a_shallow_clone_says_what_to_fetch(
    repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    edit(repository, OLD, NEW)
    commit_all(repository)
    clone = tmp_path / "clone"
    git(tmp_path, "clone", "--quiet", "--depth", "1", repository.as_uri(), str(clone))
    monkeypatch.chdir(clone)
    assert run("compare").exit_code == 0
    result = run("compare", "HEAD~1")
    assert result.exit_code == 2
    assert "git fetch --unshallow" in result.output


def test_links_and_hidden_folders_hold_no_pages(repository: Path, tmp_path: Path) -> None:
    secret = tmp_path / "secret.md"
    secret.write_text("# Secret\n\nwords-from-outside\n", "utf-8")
    (repository / "docs" / "link.md").symlink_to(secret)
    write(repository, {"docs/_drafts/x.md": "# Draft\n", "docs/.hidden/y.md": "# Hidden\n"})
    commit_all(repository)
    result = run("compare", "HEAD~1", "HEAD")
    assert result.stdout == "HEAD~1 → HEAD: No difference.\n"


def test_a_page_that_cannot_be_read_then_is_said(repository: Path) -> None:
    (repository / "docs" / "odd.md").write_bytes(b"\xff\xfe\x00")
    commit_all(repository)
    (repository / "docs" / "odd.md").write_text("# Odd\n", "utf-8")
    edit(repository, "name: Top cover", "name: Cover")
    result = run("compare")
    assert "docs/odd.md:1: not compared: page in HEAD: the page is not UTF-8" in result.stdout
    assert "name of Cover (cover): Top cover → Cover" in result.stdout


def test_other_samples_under_the_same_name(repository: Path) -> None:
    session = (
        "# Pulls\n\n```{dyno-session} pulls\nvehicle: mule\ndyno: {kind: chassis}\n"
        "correction: none\nbefore: [{pull: data/a.csv}]\nafter: [{pull: data/b.csv}]\n```\n"
    )
    write(repository, {"docs/results/pulls.md": session, "docs/results/data/a.csv": "1,2\n"})
    commit_all(repository)
    assert run("compare").stdout.endswith("No difference.\n")
    write(repository, {"docs/results/data/a.csv": "1,3\n", "docs/results/data/b.csv": "5,6\n"})
    result = run("compare", "--format", "json")
    changes = json.loads(result.stdout)["changes"]
    assert [(c["topic"], c["id"], c["act"], c["line"]) for c in changes] == [
        ("data file", "data/a.csv", "changed", 7),
        ("data file", "data/b.csv", "added", 8),
    ]


def test_another_picture_under_the_same_name(repository: Path) -> None:
    write(repository, {"docs/odd.md": "# Odd\n\n![A lid](pictures/lid.png)\n",
                       "docs/pictures/lid.png": "one"})  # fmt: skip
    commit_all(repository)
    assert run("compare").stdout.endswith("No difference.\n")
    write(repository, {"docs/pictures/lid.png": "two"})
    assert "docs/odd.md:3: picture pictures/lid.png: " in run("compare").stdout
    commit_all(repository)
    assert "another picture" in run("compare", "HEAD~1", "HEAD").stdout


SHOP = '[shop]\nname = "Lane"\n\n[[angle-gauge]]\nid = "gauge"\nname = "Gauge"\nrange = "0–360°"\n'


def test_the_shop_file_at_a_revision(repository: Path) -> None:
    write(repository, {"conf/shop.toml": SHOP})
    commit_all(repository)
    assert run("compare").stdout.endswith("No difference.\n")
    write(repository, {"conf/shop.toml": SHOP.replace("360", "180")})
    said = "conf/shop.toml:1: range of angle gauge gauge: 0–360° → 0–180°"
    assert said in run("compare").stdout
    commit_all(repository)
    assert said in run("compare", "HEAD~1", "HEAD").stdout
    write(repository, {"conf/shop.toml": "[shop\n"})
    assert "Traceback" not in run("compare").output


def test_a_revision_that_git_cannot_read_is_said(repository: Path) -> None:
    page = git(repository, "rev-parse", f"HEAD:{CAR}").strip()
    held = repository / ".git" / "objects" / page[:2] / page[2:]
    held.chmod(0o644)
    held.write_bytes(b"no object")
    result = run("compare", "HEAD")
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert "git could not give a file of that revision" in result.output
    assert "git fsck" in result.output


def test_markdown_for_a_pull_request(repository: Path) -> None:
    edit(repository, OLD, NEW)
    result = run("compare", "--format", "markdown")
    assert result.exit_code == 1
    assert "### Can damage the car" in result.stdout
    assert f"| `{CAR}:22` | torque of `Cover bolts` (`cover-bolts`)" in result.stdout


def test_a_manual_below_the_top_of_its_repository(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = make_manual(tmp_path / "shop" / "manual")
    commit_all(tmp_path / "shop")
    monkeypatch.chdir(folder / "docs")
    edit(folder, OLD, NEW)
    assert torques(run("compare", "--format", "json")) == CHANGED
