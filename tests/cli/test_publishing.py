"""Publishing: one state or the other in the folder, and what others keep there stays."""

from __future__ import annotations

import json
import os
import stat
import sys
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.publishing import disk
from procedures_lib.fronts.cli.publishing.publication import UnfitFile
from procedures_lib.fronts.cli.publishing.site_list import LIST, Content, SiteList, list_in
from procedures_lib.fronts.cli.terminal import Refused
from tests.cli.sites import (
    FOREIGN,
    STATES,
    files_below,
    inode,
    make_states,
    publish_state,
    put_foreign,
    state_in,
)
from tests.cli.world import write

if TYPE_CHECKING:
    from pathlib import Path

FIRST, SECOND = STATES


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A folder with both states as Sphinx would leave them, the first one published."""
    make_states(tmp_path)
    publish_state(tmp_path, FIRST)
    return tmp_path


def listed(site: Path) -> dict[str, list[object]]:
    files: dict[str, list[object]] = json.loads((site / LIST).read_text("utf-8"))["files"]
    return files


def test_a_first_publication_is_the_site_and_its_list_and_nothing_hidden(root: Path) -> None:
    site = root / "site"
    assert files_below(site).keys() == {*files_below(root / FIRST), LIST} - {".buildinfo"}
    assert listed(site)["index.html"][0] == len(FIRST)
    assert stat.S_IMODE(site.stat().st_mode) == stat.S_IMODE((root / FIRST).stat().st_mode)


def test_the_same_site_has_the_same_list(root: Path) -> None:
    before = (root / "site" / LIST).read_bytes()
    publish_state(root, SECOND)
    assert (root / "site" / LIST).read_bytes() != before
    publish_state(root, FIRST)
    assert (root / "site" / LIST).read_bytes() == before


def test_by_turns_with_what_others_keep(root: Path) -> None:
    put_foreign(root / "site")
    for state in (SECOND, FIRST, SECOND):
        publish_state(root, state)
        assert state_in(root) == state
        assert files_below(root / "site").items() >= FOREIGN.items()


def test_what_is_the_same_stays_the_same_file_even_built_again(root: Path) -> None:
    style = root / "site" / "_static" / "s.css"
    before = inode(style), style.stat().st_mtime_ns
    publish_state(root, SECOND)
    assert (inode(style), style.stat().st_mtime_ns) == before


def test_a_site_that_is_the_same_is_left_alone(root: Path) -> None:
    before = (root / "site").stat().st_ino
    publish_state(root, FIRST)
    assert (root / "site").stat().st_ino == before


def test_nothing_served_is_linked_to_what_sphinx_rewrites(root: Path) -> None:
    publish_state(root, SECOND)
    built = {inode(path) for path in (root / SECOND).rglob("*") if path.is_file()}
    served = {inode(path) for path in (root / "site").rglob("*") if path.is_file()}
    assert not built & served


@pytest.mark.parametrize("damage", ["changed in place", "gone", "a link"])
def test_a_served_file_that_was_tampered_with_is_put_right(root: Path, damage: str) -> None:
    page, other = root / "site" / "in" / "page-1.html", root / "other"
    other.write_text("another's", "utf-8")
    if damage == "changed in place":
        page.write_text("tampered", "utf-8")
    else:
        page.unlink()
    if damage == "a link":
        page.symlink_to(other)
    publish_state(root, FIRST)
    publish_state(root, SECOND)
    publish_state(root, FIRST)
    put_foreign(root / "site")
    assert state_in(root) == FIRST
    assert other.read_text("utf-8") == "another's"


def test_where_no_links_can_be_made_files_are_copied(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(disk, "link", refuse)
    put_foreign(root / "site")
    publish_state(root, SECOND)
    publish_state(root, FIRST)
    assert state_in(root) == FIRST


@pytest.mark.parametrize(
    ("foreign", "named"),
    [
        ("in/second-only.html", "in/second-only.html"),
        ("second", "second"),
        ("second/x.html/deep.txt", "second/x.html"),
        ("second/x.html", "second/x.html"),
    ],
)
def test_what_stands_where_the_new_site_has_a_file_stops_it(
    root: Path, foreign: str, named: str
) -> None:
    write(root / "site", {foreign: "another's"})
    before = files_below(root / "site")
    with pytest.raises(Refused, match="Move it out of the way") as refused:
        publish_state(root, SECOND)
    assert f"site/{named} is not of the site" in refused.value.message
    assert files_below(root / "site") == before
    assert not (root / "site-work" / "spare").exists()


def test_a_folder_of_others_that_may_not_be_moved_stops_it(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_foreign(root / "site")
    monkeypatch.setattr("os.access", lambda path, _: not str(path).endswith(".well-known"))
    with pytest.raises(Refused, match=r"site/\.well-known is not .* may not move it"):
        publish_state(root, SECOND)
    assert state_in(root) == FIRST


def test_notes_in_a_folder_whose_name_is_now_a_file_stop_it(root: Path) -> None:
    write(root / FIRST, {"part.html/x.html": FIRST})
    publish_state(root, FIRST)
    write(root / "site", {"part.html/notes.txt": "another's"})
    write(root / SECOND, {"part.html": SECOND})
    with pytest.raises(Refused, match=r"site/part\.html/notes\.txt is not of the site"):
        publish_state(root, SECOND)
    assert (root / "site" / "part.html" / "notes.txt").exists()


def test_a_folder_of_others_that_the_new_site_has_too_is_joined(root: Path) -> None:
    write(root / "site", {"second/notes.txt": "n", "second/deep/er.txt": "d"})
    for state in (SECOND, FIRST):
        publish_state(root, state)
        there = files_below(root / "site")
        assert (there["second/notes.txt"], there["second/deep/er.txt"]) == ("n", "d")


def test_links_of_others_are_moved_as_links_and_never_followed(root: Path) -> None:
    write(root, {"elsewhere/precious.txt": "precious"})
    (root / "site" / "files").symlink_to(root / "elsewhere")
    (root / "site" / "in" / "one.txt").symlink_to(root / "elsewhere" / "precious.txt")
    for state in (SECOND, FIRST):
        publish_state(root, state)
        assert (root / "site" / "files").is_symlink()
        assert (root / "site" / "in" / "one.txt").is_symlink()
    assert files_below(root / "elsewhere") == {"precious.txt": "precious"}


def test_a_folder_of_the_site_that_became_a_link_is_not_written_through(root: Path) -> None:
    (root / "site" / "in").rename(root / "moved")
    (root / "site" / "in").symlink_to(root / "moved")
    before = files_below(root / "moved")
    with pytest.raises(Refused, match="site/in is not of the site"):
        publish_state(root, SECOND)
    assert files_below(root / "moved") == before


def test_what_comes_into_the_old_folder_after_the_exchange_is_carried_the_next_time(
    root: Path,
) -> None:
    publish_state(root, SECOND)
    write(root / "site-work" / "spare", {"late/upload.txt": "late", "in/late.txt": "late"})
    publish_state(root, FIRST)
    there = files_below(root / "site")
    assert (there["late/upload.txt"], there["in/late.txt"]) == ("late", "late")


def test_what_is_in_both_folders_is_kept_in_both(root: Path) -> None:
    publish_state(root, SECOND)
    write(root / "site", {"note.txt": "here"})
    write(root / "site-work" / "spare", {"note.txt": "there"})
    with pytest.raises(Refused, match=r"spare/note\.txt"):
        publish_state(root, FIRST)
    assert (root / "site-work" / "spare" / "note.txt").read_text("utf-8") == "there"
    assert state_of(root) == SECOND


def state_of(root: Path) -> str:
    return (root / "site" / "index.html").read_text("utf-8")


def test_what_others_kept_is_not_deleted_with_a_site_that_is_gone(root: Path) -> None:
    publish_state(root, SECOND)
    write(root / "site-work" / "spare", {"note.txt": "there"})
    (root / "site").rename(root / "gone")
    with pytest.raises(Refused, match=r"spare/note\.txt"):
        publish_state(root, FIRST)
    assert (root / "site-work" / "spare" / "note.txt").exists()


@pytest.mark.parametrize("held", [{"letter.txt": "Dear"}, {".buildinfo": "x", "index.html": "x"}])
def test_a_folder_without_a_list_is_no_site(tmp_path: Path, held: dict[str, str]) -> None:
    make_states(tmp_path)
    write(tmp_path / "site", held)
    with pytest.raises(Refused, match=LIST):
        publish_state(tmp_path, FIRST)
    assert files_below(tmp_path / "site") == held


@pytest.mark.parametrize(
    "files",
    [
        {"../letter.html": [1, "a"]},
        {"/letter.html": [1, "a"]},
        {"a/../../letter.html": [1, "a"]},
        {".git/config.txt": [1, "a"]},
        {"a\\..\\letter.html": [1, "a"]},
        {"": [1, "a"]},
        {"a.html": [1, "a"], "a.html/b.html": [1, "a"]},
        {"a.html": [1]},
        ["a.html"],
    ],
)
def test_a_list_that_names_what_no_site_holds_is_believed_in_nothing(
    root: Path, files: object
) -> None:
    text = json.dumps({"format": 1, "made-by": "procedures build", "files": files})
    write(root, {"letter.html": "Dear", f"site/{LIST}": text})
    before = files_below(root)
    with pytest.raises(Refused, match="can't be told"):
        publish_state(root, SECOND)
    assert files_below(root) == before


@pytest.mark.parametrize("text", ["", "{}", "[]", '{"format": 2}', "[" * 100_000, "\0"])
def test_a_list_that_is_none_is_told(tmp_path: Path, text: str) -> None:
    write(tmp_path, {LIST: text})
    with pytest.raises(Refused, match="can't be told"):
        list_in(tmp_path)


def test_a_list_that_is_a_link_is_none(root: Path) -> None:
    (root / "site" / LIST).rename(root / "list")
    (root / "site" / LIST).symlink_to(root / "list")
    with pytest.raises(Refused, match="can't be told"):
        publish_state(root, SECOND)


def test_a_list_survives_its_file(tmp_path: Path) -> None:
    files = SiteList({"ä/ö.html": Content(3, "ab"), 'a "b".html': Content(0, "")})
    (tmp_path / LIST).write_bytes(files.as_json())
    assert list_in(tmp_path) == files
    assert files.folders == {"ä"}


@pytest.mark.parametrize("name", ["_downloads/0/run.exe", "_images/drawing.svg", "evil.js", "x"])
def test_a_kind_of_file_that_no_page_may_bring_stops_the_site(root: Path, name: str) -> None:
    write(root / SECOND, {name: "x"})
    with pytest.raises(UnfitFile, match="not published: ") as refused:
        publish_state(root, SECOND)
    assert f"{name} is of a kind that no page may bring" in refused.value.message
    assert state_of(root) == FIRST


def test_a_link_that_sphinx_would_leave_is_not_published(root: Path) -> None:
    (root / SECOND / "link.html").symlink_to(root / "letter")
    with pytest.raises(Refused, match="no plain file"):
        publish_state(root, SECOND)


@pytest.mark.skipif(sys.platform == "win32", reason="folders have no such mode there")
def test_the_folder_keeps_its_mode(root: Path) -> None:
    (root / "site").chmod(0o2750)
    publish_state(root, SECOND)
    assert stat.S_IMODE(os.stat(root / "site").st_mode) == 0o2750


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    make_states(tmp_path)
    (tmp_path / "site").mkdir()
    publish_state(tmp_path, FIRST)
    assert state_of(tmp_path) == FIRST
