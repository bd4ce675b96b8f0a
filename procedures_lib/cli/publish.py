"""Copies a built site to where it is served, file by file, each in one go."""

from __future__ import annotations

import os
import shutil
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

_ARRIVING = ".arriving"
_LISTS = "offline/"


def publish(built: Path, served: Path) -> None:
    """Make ``served`` hold the files of ``built`` and no others.

    A file is copied when its size or time differs, and put in place at one stroke: whoever reads
    meanwhile gets the old or the new one. Pages come after what they show, the list of the site's
    files after the pages, and what has gone is removed last.
    """
    ours, theirs = files_in(built), files_in(served)
    changed = [name for name, mark in ours.items() if theirs.get(name) != mark]
    for name in sorted(changed, key=_pages_last):
        _replace(built / name, served / name)
    gone = theirs.keys() - ours.keys()
    for name in gone:
        (served / name).unlink(missing_ok=True)
    if gone:
        _remove_empty(served)


def files_in(folder: Path) -> dict[str, tuple[int, int]]:
    """Return the size and time of each file below a folder, by its path, with forward slashes."""
    found = {}
    for root, _, names in os.walk(folder):
        below = os.path.relpath(root, folder).replace(os.sep, "/")
        for name in names:
            state = os.stat(os.path.join(root, name))
            path = name if below == "." else f"{below}/{name}"
            found[path] = (state.st_size, state.st_mtime_ns)
    return found


def _pages_last(name: str) -> tuple[bool, bool, str]:
    return name.startswith(_LISTS), name.endswith(".html"), name


def _replace(new: Path, old: Path) -> None:
    old.parent.mkdir(parents=True, exist_ok=True)
    arriving = old.with_name(old.name + _ARRIVING)
    shutil.copy2(new, arriving)
    arriving.replace(old)


def _remove_empty(folder: Path) -> None:
    for path in sorted(folder.rglob("*"), reverse=True):
        if path.is_dir() and not any(path.iterdir()):
            path.rmdir()
