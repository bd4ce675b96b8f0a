"""Reading a revision through git: real repositories, hostile names, links."""

from __future__ import annotations

import os
import shutil
import sys
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.revision import changed_since, files_at, top_of
from procedures_lib.fronts.cli.terminal import Refused
from tests.cli.repository import commit_all, git
from tests.cli.world import write

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    """A repository with a manual in a folder of it, committed once."""
    write(tmp_path, {"manual/docs/a.md": "# A\n", "manual/docs/kits/ü b.md": "# Ü\n"})
    write(tmp_path, {"manual/docs/pull.csv": "speed\n", "outside.md": "# Out\n"})
    commit_all(tmp_path)
    return tmp_path


def test_files_are_those_of_the_folder_then(repository: Path) -> None:
    docs = repository / "manual" / "docs"
    write(docs, {"a.md": "# Later\n", "new.md": "# New\n"})
    (docs / "pull.csv").unlink()
    assert files_at("HEAD", docs) == {
        "a.md": b"# A\n",
        "kits/ü b.md": "# Ü\n".encode(),
        "pull.csv": b"speed\n",
    }
    assert sorted(files_at("main", docs, ".md")) == ["a.md", "kits/ü b.md"]


def test_contents_are_byte_for_byte(tmp_path: Path) -> None:
    raw = {"a.md": b"\xef\xbb\xbf# A\r\n\r\n", "b.md": b"\x00\n\n blob 3\n", "c.md": b""}
    for name, content in raw.items():
        (tmp_path / name).write_bytes(content)
    commit_all(tmp_path)
    assert files_at("HEAD", tmp_path) == raw


def test_a_folder_that_was_not_there_then_is_empty(repository: Path) -> None:
    write(repository, {"other/docs/a.md": "# A\n"})
    assert files_at("HEAD", repository / "other" / "docs") == {}
    assert changed_since("HEAD", repository / "other" / "docs") == {"a.md"}


def test_what_changed_was_added_moved_or_has_gone(repository: Path) -> None:
    docs = repository / "manual" / "docs"
    assert changed_since("HEAD", docs) == set()
    write(docs, {"a.md": "# Later\n", "new/page.md": "# New\n", ".gitignore": "*.tmp\n"})
    write(docs, {"x.tmp": "ignored"})
    (docs / "kits" / "ü b.md").rename(docs / "moved.md")
    write(repository, {"outside.md": "# Other\n"})
    wanted = {"a.md", "new/page.md", ".gitignore", "kits/ü b.md", "moved.md"}
    assert changed_since("HEAD", docs) == wanted
    git(repository, "add", "manual")
    assert changed_since("HEAD", docs) == wanted, "staged or not"
    commit_all(repository)
    assert changed_since("HEAD", docs) == set()
    assert changed_since("HEAD~1", docs) == wanted | {"x.tmp"}


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_links_are_not_followed(repository: Path) -> None:
    docs = repository / "manual" / "docs"
    (docs / "link.md").symlink_to("/etc/hostname")
    commit_all(repository)
    assert "link.md" not in files_at("HEAD", docs)


@pytest.mark.parametrize(
    "revision",
    ["--output=stolen", "-p", "", "  ", "main\nrm", "main\0", "a" * 300, "\x1b[2J"],
)
def test_what_is_no_name_is_refused_before_git_sees_it(repository: Path, revision: str) -> None:
    with pytest.raises(Refused) as refused:
        files_at(revision, repository)
    assert "is no name of a revision" in refused.value.message
    assert refused.value.message.isprintable() or "\n" in refused.value.message
    assert "\x1b" not in refused.value.message
    assert not (repository / "stolen").exists()


@pytest.mark.parametrize(
    "revision", ["nothing", "HEAD~9", "HEAD:outside.md", "main..main", "^main"]
)
def test_an_unknown_revision_is_refused(repository: Path, revision: str) -> None:
    with pytest.raises(Refused) as refused:
        changed_since(revision, repository)
    assert f"git knows no revision `{revision}` here" in refused.value.message


def test_outside_of_a_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    with pytest.raises(Refused) as refused:
        changed_since("HEAD", tmp_path)
    assert "is in no git repository" in refused.value.message
    assert top_of(tmp_path) is None


def test_a_shallow_clone_says_so(
    repository: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    write(repository, {"outside.md": "# Other\n"})
    first = git(repository, "rev-parse", "HEAD").strip()
    commit_all(repository)
    clone = tmp_path_factory.mktemp("clone")
    git(clone, "clone", "--quiet", "--depth", "1", repository.as_uri(), "copy")
    with pytest.raises(Refused) as refused:
        files_at(first, clone / "copy")
    assert "fetch more with `git fetch --unshallow`" in refused.value.message


def test_without_git(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(repository))
    with pytest.raises(Refused) as refused:
        files_at("HEAD", repository)
    assert "git is not installed" in refused.value.message
    assert top_of(repository) is None


def test_what_git_sets_for_a_hook_leads_nowhere_else(
    repository: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path_factory.mktemp("other")
    write(other, {"b.md": "# B\n"})
    commit_all(other)
    monkeypatch.setenv("GIT_DIR", str(other / ".git"))
    monkeypatch.setenv("GIT_WORK_TREE", str(other))
    assert "outside.md" in files_at("HEAD", repository)


def test_the_top_of_the_repository(repository: Path) -> None:
    top = top_of(repository / "manual" / "docs")
    assert top is not None
    assert os.path.samefile(top, repository)
