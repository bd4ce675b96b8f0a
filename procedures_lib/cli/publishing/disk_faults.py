"""What is said when the disk is full, or may not be written to: which one, and what to do."""

from __future__ import annotations

import os
import re
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.cli.exits import Refused
from procedures_lib.cli.folders import relative
from procedures_lib.cli.publishing.disk import CLOSED, NO_ROOM
from procedures_lib.cli.publishing.mounts import disk_of, free_on

if TYPE_CHECKING:
    from collections.abc import Iterator
    from logging import LogRecord

_IN_TEXT = re.compile(r"\[Errno (\d+)\] [^:'\"\n]*(?:: (?:'[^'\n]+' -> )?'([^'\n]+)')?")
"""As Python prints such an error: with no name, with one, or with an old and a new one."""


@contextmanager
def disk_faults_told(work: Path, served: Path) -> Iterator[None]:
    """Turn what a full or closed disk raises into :class:`Refused`, with what is still served."""
    try:
        yield
    except Refused:
        raise
    except Exception as error:
        fault = disk_fault_in(error)
        if fault is None:
            raise
        raise Refused(_words(fault, work, served)) from error


def disk_fault_in(error: BaseException) -> OSError | None:
    """Return the error of a full or closed disk that is behind another one, if there is one."""
    seen: set[int] = set()
    waiting: list[BaseException | None] = [error]
    while waiting:
        at = waiting.pop(0)
        if at is None or id(at) in seen:
            continue
        seen.add(id(at))
        if isinstance(at, OSError) and _is_of_the_disk(at.errno):
            return at
        origin = getattr(at, "orig_exc", None)
        context = None if at.__suppress_context__ else at.__context__
        waiting += [origin, at.__cause__, context]
    return None


def disk_fault_of(record: LogRecord, root: Path) -> OSError | None:
    """Return the error that a warning of Sphinx is about, where it is one about the disk.

    A warning from another process is text: it has to name a file below ``root``.
    """
    words = record.args if isinstance(record.args, tuple) else ()
    for word in words:
        if isinstance(word, OSError) and _is_of_the_disk(word.errno):
            paths = [str(w) for w in words if isinstance(w, str | os.PathLike)]
            path = _written(word) or next(iter(paths), None)
            return OSError(word.errno, word.strerror, path)
    text = record.getMessage()
    named = re.search(rf"({re.escape(str(root))}\S*?):? ", text)
    return disk_fault_told(text, named[1]) if named else None


def disk_fault_told(text: str, path: str | None = None) -> OSError | None:
    """Return the error of a full or closed disk that a text from another process tells of."""
    found = _IN_TEXT.search(text)
    if found is None or not _is_of_the_disk(int(found[1])):
        return None
    number = int(found[1])
    return OSError(number, os.strerror(number), found[2] or path)


def _written(error: OSError) -> str | None:
    """The file that was to be written: of two names the second."""
    name = error.filename2 or error.filename
    return None if name is None else os.fsdecode(name)


def _is_of_the_disk(number: int | None) -> bool:
    return number in NO_ROOM or number in CLOSED


def _words(fault: OSError, work: Path, served: Path) -> str:
    path = Path(_written(fault) or work)
    disk = disk_of(path)
    cure = (
        "Make room on it, and build again."
        if fault.errno in NO_ROOM
        else "Let this user write there, or name another folder with --output."
    )
    kept = f"\n{relative(served)} keeps the last good site." if served.exists() else ""
    return (
        f"{relative(path)}: {fault.strerror}.\n"
        f"The disk is the one mounted at {disk}; {free_on(disk)} are free. {cure}{kept}"
    )
