"""Files that are there whole or not at all, also after the power has gone."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from procedures_lib.fronts.cli.publishing.disk import ARRIVING, named, rights_of_new


def write_whole(path: Path, content: bytes) -> None:
    """Write a file that is not there; FileExistsError where one is, and it stays as it is.

    The bytes are on the disk before the file has its name (``fsync``), and the name after that.
    """
    with _written(path, content) as made:
        try:
            os.link(made, path)
        except FileExistsError:
            raise
        except OSError:  # a disk without links
            if path.exists():
                raise FileExistsError(path) from None
            os.replace(made, path)
    settle(path.parent)


def replace_whole(path: Path, content: bytes) -> None:
    """Write a file in the place of another one, at one stroke."""
    with _written(path, content) as made:
        os.replace(made, path)
    settle(path.parent)


@contextmanager
def _written(path: Path, content: bytes) -> Iterator[Path]:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=".", suffix=ARRIVING, dir=path.parent)
    made = Path(name)
    try:
        with named(path), os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        made.chmod(rights_of_new())
        yield made
    finally:
        made.unlink(missing_ok=True)


def append_line(path: Path, line: bytes) -> None:
    """Put a line at the end of a file, on the disk when this returns; a half one is taken back."""
    with named(path), open(path, "ab") as file:
        size = file.tell()
        try:
            file.write(line)
            file.flush()
            os.fsync(file.fileno())
        except OSError:
            os.truncate(path, size)
            raise


def settle(folder: Path) -> None:
    """Have the names in a folder on the disk; a system that can't open folders does so itself."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:  # some file shares refuse it
        return
    finally:
        os.close(handle)
