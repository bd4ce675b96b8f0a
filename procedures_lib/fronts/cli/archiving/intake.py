"""Records on their way into the archive: what is said of each, and what it is read beside."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from procedures_lib.findings import counted, printable
from procedures_lib.fronts.cli.archiving.kept_file import UNDATED, name_of
from procedures_lib.fronts.cli.archiving.store import Added, Archive, now
from procedures_lib.fronts.cli.arguments import Folders, relative
from procedures_lib.fronts.cli.checked_manual import read_manual
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.judging.records.job import Job, clock_faults, read_job
from procedures_lib.judging.records.record import (
    MOST_BYTES,
    RecordError,
    RecordFinding,
    load_record,
)
from procedures_lib.judging.records.remarks import check_remarks
from procedures_lib.judging.records.sheet import Sheet, sheet_of
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual
from procedures_lib.spelling import nearest, suggestion

_MOST_FAULTS = 4

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Arrival:
    """A file that holds a record, and the notes on what it holds."""

    file: Path
    value: dict[str, Any]
    job: Job
    notes: tuple[str, ...]


def arrival(file: Path) -> Arrival:
    """Read a record file; ``RecordError`` where it holds none."""
    if not file.is_file():
        raise _no_file(file)
    try:
        with file.open("rb") as stream:
            value = load_record(stream.read(MOST_BYTES + 1))
    except OSError as error:
        message = f"it can't be read: {error.strerror}"
        raise RecordError(message, "let this user read it") from None
    job, findings = read_job(value)
    if job is None:
        raise RecordError("; ".join(each.message for each in findings), findings[0].hint)
    faults = [*findings, *check_remarks(job.record), *clock_faults(job, now())]
    return Arrival(file, value, job, tuple(_faults_told(job, faults)))


def _no_file(file: Path) -> RecordError:
    if file.is_dir():
        return RecordError("it is a folder", f"name its files: {file / '*.json'}")
    if file.exists():
        return RecordError("it is no file", "name the file that the page saved")
    folder = file.parent
    there = [each.name for each in folder.glob("*.json")] if folder.is_dir() else []
    near = nearest(file.name, there)
    hint = f"did you mean `{folder / near}`?" if near else "name the file that the page saved"
    return RecordError("it is not there", hint)


def _faults_told(job: Job, faults: list[RecordFinding]) -> Iterator[str]:
    """Yield a line for each kind of fault: the first of it, and how many more there are."""
    if job.day is None:
        yield f"no time in it tells its day: it stands under {UNDATED}"
    kinds = [list(group) for _, group in groupby(faults, key=lambda each: (each.check, each.hint))]
    for first, *more in kinds[:_MOST_FAULTS]:
        like = f" (and {len(more)} more like it)" if more else ""
        yield f"{first.path}: {first.message}{like}; {first.hint}"
    if rest := sum(map(len, kinds[_MOST_FAULTS:])):
        yield f"and {counted(rest, 'fault')} more"


class Intake:
    """Puts records into an archive; the manual is read when a sheet is asked for that is not kept.

    ``tell`` is called with each line that there is to say.
    """

    def __init__(self, archive: Archive, folders: Folders, tell: Tell) -> None:
        self._archive = archive
        self._folders = folders
        self._tell = tell
        self._manual: Manual | None = None

    def take(self, new: Arrival) -> bool:
        """Put a record in, inside ``writing``; False where it was not, and that is told."""
        job = new.job
        page = self._page(job)
        try:
            added = self._archive.add(new.value)
        except RecordError as error:
            self._tell(f"{new.file}: not added: {error.message}; {error.hint}.")
            return False
        except OSError as error:
            where = relative(Path(error.filename)) if error.filename else "the archive"
            raise Refused(
                f"{new.file}: not added: {where}: {error.strerror or error}.\n"
                "What was added before it is kept; the archive is whole."
            ) from None
        self._tell(f"{new.file}: {_told(added)}")
        notes = [*_notes(added), *page, *new.notes]
        for note in notes if added.how != "double" else ():
            self._tell(f"    {note}")
        return added.how != "forgotten"

    def _page(self, job: Job) -> Iterator[str]:
        """Keep the sheet that a record is of, if this manual has it; else yield why it is not."""
        record = job.record
        if self._archive.sheet(record.procedure, record.digest):
            return iter(())
        head = self.manual.head(Procedure, record.procedure)
        if head is None:
            known = (each.id for each in self.manual.heads(Procedure))
            hint = suggestion(record.procedure, known)
            return iter((f"this manual has no procedure `{record.procedure}`"
                         f"{f' ({hint})' if hint else ''}: kept without its page",))  # fmt: skip
        sheet = sheet_of(self.manual.plan(head), head.revision)
        if sheet.digest == record.digest:
            self._archive.keep_sheet(sheet)
            return iter(())
        return iter((_other(record.revision, sheet),))

    @property
    def manual(self) -> Manual:
        """The manual as it is now, read once."""
        if self._manual is None:
            self._manual, _ = read_manual(self._folders)
        return self._manual


def _other(revision: str, sheet: Sheet) -> str:
    if revision == sheet.revision:
        why = f"the page of revision {revision} says something else by now"
    else:
        why = f"the record is of revision {revision}, the page is {sheet.revision}"
    return f"{why}: `procedures archive sheets STATE` keeps the sheets of the manual as it was then"


def _told(added: Added) -> str:
    name = name_of(added.file)
    match added.how:
        case "double":
            return f"in the archive already, as {name}"
        case "completed":
            return f"was there without a line in the journal, and has one now: {name}"
        case "forgotten":
            return f"not added: it was taken out for its customer on {added.file[:10]}"
    return f"added as {name}"


def _notes(added: Added) -> Iterator[str]:
    if added.stripped:
        yield (
            f"the customer of this job was taken out on {added.stripped[:10]}: put in without "
            "plate, initials, words and pictures"
        )
    if added.left_out:
        names = ", ".join(f"`{printable(name)[:40]}`" for name in added.left_out[:8])
        yield f"left out, as no record of a page has it: {names}"
    if added.contradicting:
        yield (
            "two phones on one job: each has what the other lacks; both are kept, the fuller one "
            f"counts: {', '.join(added.contradicting)}"
        )
    elif added.beside:
        yield f"another state of the same job is there too: {', '.join(added.beside)}"


def keep_sheets(archive: Archive, manual: Manual) -> tuple[int, int]:
    """Keep the sheets of all procedures of a manual; return how many are new, and how many."""
    plans = [(manual.plan(head), head.revision) for head in manual.heads(Procedure)]
    new = [archive.keep_sheet(sheet_of(plan, revision)) for plan, revision in plans]
    return sum(new), len(new)
