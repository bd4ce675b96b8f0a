"""What publishing does on the disk: a function for each operation, whose errors name the file."""

from __future__ import annotations

import errno
import os
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT})
CLOSED = frozenset({errno.EACCES, errno.EPERM, errno.EROFS})


def make_folder(path: Path) -> None:
    """Make a folder that is not there."""
    path.mkdir()


def write(path: Path, content: bytes) -> None:
    """Write a file that is not there."""
    with _named(path), path.open("xb") as file:
        file.write(content)


def copy(old: Path, new: Path) -> None:
    """Copy a file, with its time, to a name that is not there."""
    with _named(new):
        with old.open("rb") as source, new.open("xb") as target:
            shutil.copyfileobj(source, target)
        shutil.copystat(old, new)


def link_or_copy(old: Path, new: Path) -> None:
    """Give a file a second name; copy it where the disk knows no links, or allows none."""
    try:
        link(old, new)
    except OSError as error:
        if error.errno in NO_ROOM or error.errno == errno.EROFS:
            raise
        copy(old, new)


def link(old: Path, new: Path) -> None:
    """Give a file a second name."""
    os.link(old, new)


def rename(old: Path, new: Path) -> None:
    """Give a file or folder another name; nothing but a file is replaced."""
    old.replace(new)


def remove(path: Path) -> None:
    """Remove a file, or a link and not what it leads to."""
    path.unlink()


def remove_folder(path: Path) -> None:
    """Remove an empty folder."""
    path.rmdir()


@contextmanager
def _named(path: Path) -> Iterator[None]:
    """A full disk is noticed while writing, and such an error names no file."""
    try:
        yield
    except OSError as error:
        error.filename = error.filename or str(path)
        raise
