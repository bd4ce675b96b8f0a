"""The files of a manual: which are pages, what can't be read, and reading through processes."""

from __future__ import annotations

import errno
import os
from concurrent.futures import ProcessPoolExecutor
from typing import TYPE_CHECKING

import pytest

from procedures_lib.judging.checks import check_manual
from procedures_lib.manual import Manual, folder
from procedures_lib.manual.folder import OutsideError, page_name, page_names, read_content

if TYPE_CHECKING:
    from pathlib import Path

PAGE = "# T\n\n```{parts}\na: {name: A, nmae: B}\nb: {when: ?}\n```\n"


def write(root: Path, *names: str) -> None:
    for name in names:
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(PAGE, encoding="utf-8")


def test_pages_are_sorted_and_hidden_folders_left_out(tmp_path: Path) -> None:
    write(tmp_path, "index.md", "kits/b.md", "kits/a.md", ".git/x.md", "_build/y.md", "kits/.z.md")
    (tmp_path / "kits" / "notes.txt").write_text("no page", encoding="utf-8")
    (tmp_path / "kits" / "folder.md").mkdir()
    assert page_names(tmp_path) == ["index.md", "kits/a.md", "kits/b.md"]


def test_link_loops_do_not_hang(tmp_path: Path) -> None:
    write(tmp_path, "kits/a.md")
    (tmp_path / "kits" / "again").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "round.md").symlink_to(tmp_path / "round.md")
    assert page_names(tmp_path) == ["kits/a.md", "round.md"]
    (found,) = read_content("round.md", tmp_path).page.findings
    assert (found.check, str(found.place)) == ("unreadable-page", "round.md:1")
    assert "can't be opened" in found.message
    assert found.hint == "look at its name and its rights"


def test_a_link_to_nothing_and_a_folder_are_findings(tmp_path: Path) -> None:
    (tmp_path / "gone.md").symlink_to(tmp_path / "nowhere.md")
    (tmp_path / "folder.md").mkdir()
    for name in ("gone.md", "folder.md", "never.md"):
        (found,) = read_content(name, tmp_path).page.findings
        assert found.check == "unreadable-page"


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.md")
    (found,) = read_content("pipe.md", tmp_path).page.findings
    assert found.message == "the file can't be opened: it is no file"


def test_a_file_without_rights_is_a_finding(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(tmp_path, "a.md")

    def refused(*_: object) -> None:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr("pathlib.Path.open", refused)
    (found,) = read_content("a.md", tmp_path).page.findings
    assert found.message == "the file can't be opened: Permission denied"


def test_a_huge_file_is_not_read_to_its_end(tmp_path: Path) -> None:
    with (tmp_path / "huge.md").open("wb") as file:
        file.truncate(20_000_000_000)  # a hole: it takes no room
    (found,) = read_content("huge.md", tmp_path).page.findings
    assert found.check == "unreadable-page"
    assert "more than" in found.message


def test_a_path_outside_the_manual(tmp_path: Path) -> None:
    write(tmp_path, "docs/kits/a.md", "other.md")
    root = tmp_path / "docs"
    assert page_name(root / "kits" / "a.md", root) == "kits/a.md"
    assert page_name(root / "kits" / ".." / "kits" / "a.md", root) == "kits/a.md"
    for path in (tmp_path / "other.md", root / ".." / "other.md"):
        with pytest.raises(OutsideError, match="is not in the manual"):
            page_name(path, root)


def test_an_empty_folder_is_an_empty_manual(tmp_path: Path) -> None:
    assert Manual.read(tmp_path).contents == {}


def test_reading_through_processes_gives_the_same_manual(tmp_path: Path) -> None:
    write(tmp_path, *(f"pages/{n}.md" for n in range(70)))
    (tmp_path / "pages" / "bad.md").write_bytes(b"\xff")
    alone = Manual.read(tmp_path)
    ticks: list[None] = []
    with ProcessPoolExecutor(2) as executor:
        shared = Manual.read(tmp_path, executor=executor, progress=lambda: ticks.append(None))
    assert list(shared.contents) == list(alone.contents)
    assert shared.contents == alone.contents
    assert len(ticks) == 71
    assert check_manual(shared) == check_manual(alone) != []


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("large.csv", "`large.csv` is larger than 3 MB"),
        ("round.csv", "`round.csv` is a link to itself"),
        ("out.csv", "`out.csv` leads out of the manual's folder"),
        ("../../x.csv", "`../../x.csv` leads out of the manual's folder"),
        ("/etc/hostname", "`/etc/hostname` leads out of the manual's folder"),
        ("folder", "`folder` is no file"),
        ("gone.csv", "`gone.csv` does not exist"),
        ("a\\b.csv", "`a\\b.csv` is no path"),
    ],
)
def test_a_data_file_that_may_not_be_read_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, message: str
) -> None:
    root = tmp_path / "docs"
    (root / "folder").mkdir(parents=True)
    with (root / "large.csv").open("wb") as file:
        file.truncate(3_000_001)
    (root / "round.csv").symlink_to(root / "round.csv")
    (root / "out.csv").symlink_to(tmp_path / "x.csv")
    monkeypatch.setattr(folder, "LARGEST_DATA", 3_000_000)
    with pytest.raises(folder.DataFileError) as caught:
        folder.DataFiles(root).path("page.md", name)
    assert str(caught.value) == message
    assert caught.value.hint
