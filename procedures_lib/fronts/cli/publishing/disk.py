"""What the commands do on the disk, and what is told when it is full or may not be written to.

Paths may be texts: a site has thousands of files, and a save waits for all of them.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from logging import LogRecord
from pathlib import Path

from procedures_lib.fronts.cli.arguments import relative
from procedures_lib.fronts.cli.terminal import Refused

AnyPath = str | Path
ARRIVING = ".arriving"
"""How the name of a file ends that is being written."""


_TABLE = Path("/proc/self/mountinfo")
_OCTAL = re.compile(r"\\(\d{3})")


def mounts_in(folder: Path) -> list[Path]:
    """Return the folders that are mount points, from this one down; without links."""
    try:
        table = _TABLE.read_text("utf-8", "surrogateescape")
    except OSError:  # not Linux
        return [folder] if os.path.ismount(folder) else []
    points = {Path(_OCTAL.sub(_char, line.split()[4])) for line in table.splitlines()}
    return sorted(point for point in points if point.is_relative_to(folder))


def _char(match: re.Match[str]) -> str:
    return chr(int(match[1], 8))


def disk_of(path: Path) -> Path:
    """Return where the disk is mounted that holds a path, which need not exist."""
    place = path.absolute()
    while not os.path.lexists(place):
        place = place.parent
    place = place.resolve()
    while not os.path.ismount(place):
        place = place.parent
    return place


def free_on(disk: Path) -> str:
    """Return in words how much is free on a disk: ``2.1 of 64.0 GB``."""
    usage = shutil.disk_usage(disk)
    unit, size = next(((u, s) for u, s in _UNITS if usage.total >= s), _UNITS[-1])
    words = f"{usage.free / size:.1f} of {usage.total / size:.1f} {unit}"
    if hasattr(os, "statvfs") and (files := os.statvfs(disk)).f_files and not files.f_favail:
        words += ", but it can hold no more files"
    return words


_UNITS = (("GB", 1_000_000_000), ("MB", 1_000_000), ("kB", 1_000))


NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT})
CLOSED = frozenset({errno.EACCES, errno.EPERM, errno.EROFS})


def make_folder(path: AnyPath) -> None:
    """Make a folder that is not there."""
    os.mkdir(path)


def write(path: AnyPath, content: bytes) -> None:
    """Write a file that is not there."""
    with named(path), open(path, "xb") as file:
        file.write(content)


def copy(old: AnyPath, new: AnyPath) -> None:
    """Copy a file, with its time, to a name that is not there."""
    with named(new):
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
def arriving(path: Path, content: bytes) -> Iterator[Path]:
    """Yield a file beside a path, to be moved there at one stroke; it goes when it was not.

    It has the rights of the file that is there, or those of a new one.
    """
    handle, name = tempfile.mkstemp(prefix=".", suffix=ARRIVING, dir=path.parent)
    made = Path(name)
    try:
        with named(path), os.fdopen(handle, "wb") as file:
            file.write(content)
        made.chmod(stat.S_IMODE(path.stat().st_mode) if path.exists() else rights_of_new())
        yield made
    finally:
        made.unlink(missing_ok=True)


def rights_of_new() -> int:
    """The rights that this user's new files get."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


@contextmanager
def named(path: AnyPath) -> Iterator[None]:
    """A full disk is noticed while writing, and such an error names no file."""
    try:
        yield
    except OSError as error:
        error.filename = error.filename or str(path)
        raise


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
    found = re.search(rf"({re.escape(str(root))}\S*?):? ", text)
    return disk_fault_told(text, found[1]) if found else None


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
