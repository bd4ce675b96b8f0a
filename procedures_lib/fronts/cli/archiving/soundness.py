"""Whether the archive is as it was written: files against the journal, the journal in itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from procedures_lib.fronts.cli.archiving.journal import Line, acts_in
from procedures_lib.fronts.cli.archiving.kept_file import hash_of, kept_in
from procedures_lib.fronts.cli.archiving.store import Archive
from procedures_lib.fronts.cli.publishing.disk import ARRIVING
from procedures_lib.judging.records.record import RecordError
from procedures_lib.judging.records.sheet import read_sheet


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing that is not as it was written: ``file`` below the archive, ``hint`` what to do.

    ``mends`` tells whether :func:`mend` puts it right.
    """

    file: str
    kind: str
    message: str
    hint: str
    mends: bool = False


_BACKUP = "bring it back from a backup"
_MEND = "`procedures archive index` puts it right"


def troubles(archive: Archive) -> Iterator[Trouble]:
    """Yield what is wrong with an archive; read everything, change nothing."""
    if not archive.is_there:
        return
    read = archive.journal.read()
    name = archive.journal.path.name
    for fault in read.faults:
        yield Trouble(name, "journal-edited", f"line {fault.number}: {fault.why}", _BACKUP)
    if read.half:
        message = "its last line breaks off: whoever wrote it was stopped"
        yield Trouble(name, "half-line", message, _MEND, mends=True)
    if not archive.key.is_there:
        if archive.journal.size:
            yield Trouble(
                "key", "no-key", "it is missing: registrations can't be looked for", _BACKUP
            )
    elif wrong := archive.key.fault:
        yield Trouble("key", "wrong-key", f"{wrong}: registrations can't be looked for", _BACKUP)
    held = dict(acts_in(read.lines))
    for file, line in held.items():
        yield from _file(archive, file, line)
    yield from _strays(archive, held, {line.file for line in read.lines} - held.keys())
    for path in sorted(archive.root.glob("sheets/[!.]*.json")):
        if read_sheet(path.read_bytes()) is None:
            message = "it is no sheet, or was cut off"
            yield Trouble(f"sheets/{path.name}", "broken-sheet", message,
                          "delete it, and keep the sheets of that revision again")  # fmt: skip


def _file(archive: Archive, file: str, line: Line) -> Iterator[Trouble]:
    path = archive.root / file
    if path.is_symlink():
        message = "it is a link to a file elsewhere, which nothing here looks after"
        yield Trouble(file, "link", message, "put the file itself in its place")
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        yield Trouble(file, "missing", f"it was put in on {line.at[:10]}, and is gone", _BACKUP)
        return
    except OSError as error:
        yield Trouble(file, "unreadable", f"it can't be read: {error.strerror}", _BACKUP)
        return
    if hash_of(content) == line.hash:
        return
    try:
        kept_in(file, content)
    except RecordError as error:
        yield Trouble(file, "broken", error.message, _BACKUP)
        return
    message = f"it is not what was put in on {line.at[:10]}: somebody has edited it"
    yield Trouble(file, "edited", message, f"look at what changed, or {_BACKUP}")


def _strays(archive: Archive, held: dict[str, Line], gone: set[str]) -> Iterator[Trouble]:
    """Yield the files that no line of the journal speaks of, or that were to go."""
    for path in sorted(archive.root.rglob("*")):
        file = path.relative_to(archive.root).as_posix()
        if path.name.endswith(ARRIVING):
            message = "it was not written to its end; nothing was put in by it"
            yield Trouble(file, "half-written", message, _MEND, mends=True)
        elif not file.startswith("jobs/") or file in held or _is_folder(path):
            continue
        elif path.is_symlink() or not path.is_file():
            message = "it is no file that was put in, but a link or another thing of the system"
            yield Trouble(file, "foreign", message, "take it out by hand")
        elif file in gone:
            message = "it was to go for its customer, and is still there"
            yield Trouble(file, "not-gone", message, _MEND, mends=True)
        else:
            yield from _unlisted(file, path.read_bytes())


def _is_folder(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()


def _unlisted(file: str, content: bytes) -> Iterator[Trouble]:
    message = "the journal has no line for it: whoever put it in was stopped, or it was copied in"
    try:
        kept_in(file, content)
    except RecordError as error:
        yield Trouble(file, "foreign", f"{message}; {error.message}", "take it out by hand")
    else:
        yield Trouble(file, "not-listed", message, _MEND, mends=True)


def mend(archive: Archive) -> list[Trouble]:
    """Put right what can be without losing anything, inside ``writing``; return what that was.

    Whole files without a line get one, files that were to go do, the index is made anew. What
    somebody has edited stays as it is, and is found again.
    """
    found = [trouble for trouble in troubles(archive) if trouble.mends]
    for trouble in found:
        path = archive.root / trouble.file
        if trouble.kind == "not-listed":
            archive.journal.append(Line("add", trouble.file, hash_of(path.read_bytes())))
        elif trouble.kind in {"half-written", "not-gone"}:
            path.unlink(missing_ok=True)
    archive.catalogue.drop()
    archive.catalogue.ready()
    return found
