"""What publishing does on the disk: a function for each operation, whose errors name the file.

Paths may be texts: a site has thousands of files, and a save waits for all of them.
"""

from __future__ import annotations

import errno
import os
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    AnyPath = str | Path

NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT})
CLOSED = frozenset({errno.EACCES, errno.EPERM, errno.EROFS})


def make_folder(path: AnyPath) -> None:
    """Make a folder that is not there."""
    os.mkdir(path)


def write(path: AnyPath, content: bytes) -> None:
    """Write a file that is not there."""
    with _named(path), open(path, "xb") as file:
        file.write(content)


def copy(old: AnyPath, new: AnyPath) -> None:
    """Copy a file, with its time, to a name that is not there."""
    with _named(new):
        with open(old, "rb") as source, open(new, "xb") as target:
            shutil.copyfileobj(source, target)
        shutil.copystat(old, new)


def link_or_copy(old: AnyPath, new: AnyPath) -> None:
    """Give a file a second name; copy it where the disk knows no links, or allows none."""
    try:
        link(old, new)
    except OSError as error:
        if error.errno in NO_ROOM or error.errno == errno.EROFS:
            raise
        copy(old, new)


def link(old: AnyPath, new: AnyPath) -> None:
    """Give a file a second name."""
    os.link(old, new)


def rename(old: AnyPath, new: AnyPath) -> None:
    """Give a file or folder another name; nothing but a file is replaced."""
    os.replace(old, new)


def remove(path: AnyPath) -> None:
    """Remove a file, or a link and not what it leads to."""
    os.unlink(path)


def remove_folder(path: AnyPath) -> None:
    """Remove an empty folder."""
    os.rmdir(path)


@contextmanager
def _named(path: AnyPath) -> Iterator[None]:
    """A full disk is noticed while writing, and such an error names no file."""
    try:
        yield
    except OSError as error:
        error.filename = error.filename or str(path)
        raise
