"""Copies a built site to where it is served, file by file, each in one go."""

from __future__ import annotations

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
    wanted = files_in(built)
    for name in sorted(wanted, key=_pages_last):
        if _differs(built / name, served / name):
            _replace(built / name, served / name)
    for name in files_in(served) - wanted:
        (served / name).unlink()
    _remove_empty(served)


def files_in(folder: Path) -> set[str]:
    """Return the files below a folder, by their path in it, with forward slashes."""
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def _pages_last(name: str) -> tuple[bool, bool, str]:
    return name.startswith(_LISTS), name.endswith(".html"), name


def _differs(new: Path, old: Path) -> bool:
    if not old.is_file():
        return True
    ours, theirs = new.stat(), old.stat()
    return (ours.st_size, ours.st_mtime_ns) != (theirs.st_size, theirs.st_mtime_ns)


def _replace(new: Path, old: Path) -> None:
    old.parent.mkdir(parents=True, exist_ok=True)
    arriving = old.with_name(old.name + _ARRIVING)
    shutil.copy2(new, arriving)
    arriving.replace(old)


def _remove_empty(folder: Path) -> None:
    for path in sorted(folder.rglob("*"), reverse=True):
        if path.is_dir() and not any(path.iterdir()):
            path.rmdir()
