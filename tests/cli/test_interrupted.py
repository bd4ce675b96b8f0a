"""Ctrl-C, a kill, a full disk in the middle of a write: the old file or the new, nothing else."""

from __future__ import annotations

import errno
import os
import signal
import sys
import time
from typing import TYPE_CHECKING, NoReturn

import pytest

from procedures_lib.fronts.cli.terminal import ExitCode
from tests.cli.world import make_manual, run, start, write

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

FLUIDS = "# Fluids\n\n```{fluids}\noil: {name: Oil, kind: oil, quantity: 4 litres}\n```\n"
INDEX = "# The manual\n\n```{toctree}\n:glob:\n\npage-*\n```\n"
PAGES = {f"page-{n}.md": f"# Page {n}\n\nWords {'and more words ' * 40}.\n" for n in range(40)}


def stopped(*_: object, **__: object) -> NoReturn:
    """What a key pressed at this moment does."""
    raise KeyboardInterrupt


def no_room(*_: object, **__: object) -> NoReturn:
    """What a full disk does."""
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), "somewhere")


def files_below(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.fixture
def written(manual: Path) -> Path:
    """A manual with a page to rewrite and a card from before."""
    write(manual, {"docs/fluids.md": FLUIDS, "card.pdf": "an older card"})
    return manual


@pytest.mark.parametrize(
    ("at", "words"),
    [
        ("pathlib.Path.replace", ("fix", "--write")),
        ("pathlib.Path.chmod", ("fix", "--write")),
        ("os.link", ("new", "vehicle", "a-new-car")),
        ("pathlib.Path.chmod", ("new", "vehicle", "a-new-car")),
        ("os.replace", ("card", "renew-cover", "--output", "card.pdf")),
    ],
    ids=lambda value: value if isinstance(value, str) else value[0],
)
@pytest.mark.parametrize(
    ("what", "code"),
    [(stopped, ExitCode.INTERRUPTED), (no_room, ExitCode.REFUSED)],
    ids=["stopped", "no room"],
)
def test_nothing_is_half_written(
    at: str,
    words: tuple[str, ...],
    what: Callable[..., NoReturn],
    code: ExitCode,
    written: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    before = files_below(written)
    monkeypatch.setattr(at, what)
    result = run(*words)
    monkeypatch.undo()
    assert result.exit_code == code
    assert files_below(written) == before


@pytest.mark.skipif(sys.platform == "win32", reason="a program is killed in another way")
def test_a_build_that_is_killed_leaves_the_last_site_and_the_next_is_whole(tmp_path: Path) -> None:
    project = make_manual(tmp_path / "project", {"index.md": INDEX, **PAGES})
    site = project / ".build" / "html"
    assert start(project, "build").wait() == 0
    before = files_below(site)
    changed = {name: text.replace("Words", "Other words") for name, text in PAGES.items()}
    write(project / "docs", changed)
    process = start(project, "build")
    page = project / ".build" / "html-work" / "html" / "page-0.html"
    while process.poll() is None and "Other" not in page.read_text("utf-8"):
        time.sleep(0.005)
    process.send_signal(signal.SIGKILL)
    assert process.wait() == -signal.SIGKILL
    assert files_below(site) == before
    page.write_text("<html>half", "utf-8")
    assert start(project, "build").wait() == 0
    assert all("Other words" in (site / f"page-{n}.html").read_text("utf-8") for n in range(40))
