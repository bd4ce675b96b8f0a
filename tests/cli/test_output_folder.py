"""Where a site is published and where it is built: only what a build has made is written to."""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.publishing.disk import disk_of, mounts_in
from procedures_lib.fronts.cli.publishing.site_list import LIST, list_in
from procedures_lib.fronts.cli.publishing.target import MARK
from tests.cli.world import make_manual, run, start, write

if TYPE_CHECKING:
    from collections.abc import Iterator

FIRST = "# The manual\n\nFirst words.\n"
SECOND = FIRST.replace("First", "Second")


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A manual of one page, the current folder."""
    folder = make_manual(tmp_path / "project", {"index.md": FIRST})
    monkeypatch.chdir(folder)
    return folder


def all_in(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.is_symlink()
    }


def refused(*words: str) -> str:
    result = run("build", *words)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "--output" in result.stderr
    return result.stderr


def built(*words: str) -> None:
    result = run("build", *words)
    assert (result.exit_code, result.stderr) == (0, "")


def test_a_work_tree_of_git_that_looks_like_sphinx_output_is_left_alone(project: Path) -> None:
    write(project / "site", {".buildinfo": "x", ".git/HEAD": "ref", "index.html": "mine"})
    before = all_in(project)
    assert f"no {LIST}" in refused("--output", "site")
    assert all_in(project) == before


def test_a_work_tree_of_git_keeps_its_git(project: Path) -> None:
    built("--output", "site")
    write(project / "site", {".git/HEAD": "ref", "CNAME": "manual.example", "robots.txt": "all"})
    write(project, {"docs/index.md": SECOND})
    built("--output", "site")
    there = all_in(project / "site")
    assert {".git/HEAD", "CNAME", "robots.txt", "index.html"} <= there.keys()
    assert b"Second words." in there["index.html"]


def test_a_link_is_followed_once_and_stays(project: Path) -> None:
    (project / "real").mkdir()
    (project / "site").symlink_to("real")
    built("--output", "site")
    assert (project / "site").is_symlink()
    assert (project / "real" / "index.html").is_file()
    assert (project / "real-work" / MARK).is_file()
    assert not (project / "site-work").exists()


def test_a_link_into_the_pages_is_refused(project: Path) -> None:
    (project / "site").symlink_to("docs")
    before = all_in(project)
    assert "lie in one another" in refused("--output", "site")
    assert all_in(project) == before


@pytest.mark.parametrize(
    "held",
    [
        {"html/letter.txt": "Dear"},
        {"doctrees/index.doctree": "x"},
        {"lock": ""},
        {"notes.json": "{}", "html/index.html": "x", "doctrees/x": "x"},
    ],
)
def test_a_work_folder_of_somebody_is_refused(project: Path, held: dict[str, str]) -> None:
    write(project / "site-work", held)
    before = all_in(project)
    assert f"there is no {MARK} in it" in refused("--output", "site")
    assert all_in(project) == before


@pytest.mark.parametrize("what", ["file", "link"])
def test_a_work_folder_that_is_no_folder_is_refused(project: Path, what: str) -> None:
    write(project, {"elsewhere/letter.txt": "Dear"})
    if what == "file":
        write(project, {"site-work": "x"})
    else:
        (project / "site-work").symlink_to("elsewhere")
    before = all_in(project)
    assert "site-work is no folder of its own" in refused("--output", "site")
    assert all_in(project) == before


def test_builds_at_the_same_time_wait_for_each_other(project: Path) -> None:
    builds = [start(project, "build", "--output", "site") for _ in range(3)]
    for process in builds:
        _, stderr = process.communicate()
        assert process.returncode == 0
        assert set(stderr.splitlines()) <= {
            "Another build is under way in the same folder: waiting for it."
        }
    assert list_in(project / "site") is not None


def test_an_empty_work_folder_is_taken(project: Path) -> None:
    (project / "site-work").mkdir()
    built("--output", "site")


def test_links_in_the_work_folder_are_not_followed_when_it_is_emptied(project: Path) -> None:
    built("--output", "site")
    write(project, {"elsewhere/precious.txt": "precious"})
    html = project / "site-work" / "html"
    html.rename(project / "site-work" / "html-before")
    html.symlink_to(project / "elsewhere")
    (project / "site-work" / "doctrees" / "away").symlink_to(project / "elsewhere")
    (project / "site-work" / "notes.json").unlink()
    built("--output", "site")
    assert all_in(project / "elsewhere") == {"precious.txt": b"precious"}
    assert not html.is_symlink()


def make_older(project: Path) -> None:
    """Have the usual folders be as an earlier version left them."""
    built()
    work = project / ".build" / "html-work"
    for path in (project / ".build" / "html" / LIST, work / MARK, work / "contents.json"):
        path.unlink()
    write(project / ".build" / "html", {".buildinfo": "x"})


def test_what_an_earlier_version_made_at_the_usual_place_is_set_aside(project: Path) -> None:
    make_older(project)
    old = all_in(project / ".build" / "html")
    result = run("build")
    assert result.exit_code == 0
    assert (
        ".build/html was made by an earlier version: it is now .build/html-older" in result.stderr
    )
    assert all_in(project / ".build" / "html-older") == old
    assert (project / ".build" / "html-work-older" / "html" / "index.html").is_file()
    assert (project / ".build" / "html" / LIST).is_file()
    built()


def test_it_comes_back_when_nothing_is_published(project: Path) -> None:
    make_older(project)
    write(project / ".build", {"html-older/x": "taken"})
    write(project / "conf", {"extra/run.exe": "x"})
    with (project / "conf" / "conf.py").open("a") as conf:
        conf.write('html_extra_path = ["extra"]\n')
    old = all_in(project / ".build" / "html")
    result = run("build")
    assert result.exit_code == 2
    assert "not published: run.exe is of a kind that no page may bring" in result.stderr
    assert all_in(project / ".build" / "html") == old


@pytest.mark.parametrize("extra", [{".git/HEAD": "ref"}, {".nojekyll": ""}])
def test_an_older_site_with_something_hidden_is_refused_at_the_usual_place_too(
    project: Path, extra: dict[str, str]
) -> None:
    make_older(project)
    write(project / ".build" / "html", extra)
    before = all_in(project)
    assert LIST in refused()
    assert all_in(project) == before


def test_after_a_file_of_a_wrong_kind_the_next_build_has_forgotten_it(project: Path) -> None:
    built()
    settings = (project / "conf" / "conf.py").read_text("utf-8")
    write(project / "conf", {"extra/run.exe": "x"})
    write(project / "conf", {"conf.py": settings + 'html_extra_path = ["extra"]\n'})
    for _ in range(2):
        result = run("build")
        assert result.exit_code == 2
        assert "not published: run.exe is of a kind" in result.stderr
    write(project / "conf", {"conf.py": settings})
    built()


@contextmanager
def mounted(folder: Path) -> Iterator[None]:
    """Mount a small disk at a folder; skip the test where that can't be done."""
    folder.mkdir(parents=True, exist_ok=True)
    words = ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(folder)]
    try:
        done = subprocess.run(words, capture_output=True, check=False).returncode  # noqa: S603
    except OSError:
        done = 1
    if done:
        pytest.skip("no disk can be mounted here")
    try:
        yield
    finally:
        subprocess.run(["umount", str(folder)], check=True)  # noqa: S603, S607


@pytest.mark.parametrize("place", ["site-work", "site/files", "site-work/html"])
def test_a_mount_point_is_refused_with_the_cure(project: Path, place: str) -> None:
    built("--output", "site")
    with mounted(project / place):
        write(project / place, {"precious.txt": "precious"})
        write(project, {"site-work/notes.json": ""})
        assert "is a disk of its own (a mount point)" in refused("--output", "site")
        assert (project / place / "precious.txt").read_text("utf-8") == "precious"


def test_an_empty_disk_is_no_place_for_a_site_itself(project: Path) -> None:
    with mounted(project / "site"):
        words = refused("--output", "site")
        assert "site is a disk of its own (a mount point)" in words
        built("--output", "site/html")


@pytest.mark.skipif(sys.platform != "linux", reason="a table of Linux")
def test_mounts_are_read_from_the_table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table = tmp_path / "mountinfo"
    line = "36 35 98:0 / {} rw,noatime master:1 - ext3 /dev/root rw\n"
    table.write_text("".join(line.format(p) for p in ("/", "/a", r"/a/b\040c", "/ab")))
    monkeypatch.setattr("procedures_lib.fronts.cli.publishing.disk._TABLE", table)
    assert mounts_in(Path("/a")) == [Path("/a"), Path("/a/b c")]
    assert mounts_in(Path("/a/b")) == []
    assert os.path.ismount(disk_of(tmp_path / "not" / "there"))
