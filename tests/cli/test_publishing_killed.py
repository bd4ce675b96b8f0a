"""Publications killed at random moments, and readers who look all the while."""

from __future__ import annotations

import os
import random
import sys
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.publishing.site_list import LIST
from tests.cli.killing import build_killed, killed, make_project, start_publishing, word_served
from tests.cli.sites import (
    FOREIGN,
    STATES,
    files_below,
    make_states,
    publish_state,
    put_foreign,
    read_in,
)
from tests.cli.world import start

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="killed in another way there")
CHANGES, MOST_PASSES = 20, 100_000


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A site of some pages, with what others keep."""
    make_states(tmp_path, pages=40)
    publish_state(tmp_path, STATES[0])
    put_foreign(tmp_path / "site")
    return tmp_path


def test_a_publication_killed_at_any_moment_leaves_one_state_and_the_next_is_good(
    root: Path,
) -> None:
    for seed in range(12):
        assert killed(root, random.Random(seed))[0] in STATES, seed  # noqa: S311
    assert files_below(root / "site").items() >= FOREIGN.items()


def test_a_build_killed_while_it_publishes_leaves_one_state(tmp_path: Path) -> None:
    project = make_project(tmp_path / "project")
    for delay in (0, 0.01):
        before, word = word_served(project), f"w{delay}".replace(".", "-")
        assert build_killed(project, word, delay, publishing=True) in (before, word)
    assert start(project, "build").wait() == 0
    assert word_served(project) == word
    assert (
        files_below_as_bytes(project / ".build" / "html").items()
        >= {name: text.encode() for name, text in FOREIGN.items()}.items()
    )


def files_below_as_bytes(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def passes(root: Path) -> Iterator[int]:
    """Look at the site again and again while it is published by turns: an open folder each time.

    No more than one publication ends while a folder is open: the old site is kept so long.
    """
    process = start_publishing(root)
    assert process.stdin is not None
    try:
        for _ in range(MOST_PASSES):
            handle = os.open(root / "site", os.O_RDONLY)
            yield handle
            os.close(handle)
            process.stdin.write("\n")
            process.stdin.flush()
    finally:
        process.kill()
        process.communicate()


def test_readers_see_one_state_and_miss_nothing(root: Path) -> None:
    pages = [f"in/page-{n}.html" for n in range(40)]
    met = [""]
    for handle in passes(root):
        first = read_in(handle, ["index.html"])
        assert read_in(handle, pages) == first
        assert (root / "site" / "in" / "page-0.html").is_file()
        assert (root / "site" / LIST).is_file()
        met += first - {met[-1]}
        if len(met) > CHANGES:
            break
    assert set(met[1:]) == set(STATES)
