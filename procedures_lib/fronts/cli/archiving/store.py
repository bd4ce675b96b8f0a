"""The archive in its folder: records put in, found, read, and taken out for a customer."""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from procedures_lib.fronts.cli.archiving.catalogue import Catalogue, Query
from procedures_lib.fronts.cli.archiving.durable import write_whole
from procedures_lib.fronts.cli.archiving.journal import Journal, Line
from procedures_lib.fronts.cli.archiving.kept_file import (
    Entry,
    Kept,
    canonical,
    content_of,
    entry_of,
    file_for,
    hash_of,
    job_mark,
    kept_in,
    name_of,
    read_kept,
)
from procedures_lib.fronts.cli.archiving.personal import Key, forgotten, kept
from procedures_lib.fronts.cli.arguments import Folders, absolute, relative
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.judging.records.job import Job, contradicts, read_job
from procedures_lib.judging.records.record import RecordError
from procedures_lib.judging.records.sheet import Sheet, read_sheet, sheet_json
from procedures_lib.language.entities.field_types import kebab
from procedures_lib.manual.archive_faults import archive_faults
from procedures_lib.manual.archive_settings import ArchiveSettings, place_fault
from procedures_lib.manual.shop import read_shop

LOCK_SECONDS = 30.0
_README = """\
The shop's archive of finished jobs. `procedures archive --help` tells what can be done with it.

jobs/          one file a record, by date, car and job; never changed, but for a customer's wish
sheets/        the sheets of the procedures as they were, one a revision
journal.jsonl  one line for whatever was done here; lines are only added
key            the secret behind the hashes of registrations: back it up, give it to nobody
key.check      tells whether the key is the right one
index.sqlite   made from the files, and made anew when it is missing
lessons.json   what `procedures learn` found last

Keep it where technicians can't edit it, and back it up as a whole.
"""


@dataclass(frozen=True, slots=True)
class Added:
    """What became of a record: ``how`` is added, double, completed or forgotten, in ``file``.

    ``stripped`` is when the customer of this job was taken out: this one came in without them.
    ``left_out`` are members that were not kept; ``beside`` are other records of the same job,
    ``contradicting`` those that have what this one lacks while it has what they lack.
    """

    how: str
    file: str
    left_out: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    contradicting: tuple[str, ...] = ()
    stripped: str = ""


class Archive:
    """The archive in a folder, which need not be there yet."""

    def __init__(self, root: Path, settings: ArchiveSettings) -> None:
        self.root = root
        self.settings = settings
        self.journal = Journal(root / "journal.jsonl")
        self.key = Key(root / "key")
        self.catalogue = Catalogue(root, self.journal, self._about_sheet)

    @property
    def is_there(self) -> bool:
        """Whether anything was ever put in; :class:`Refused` where the journal of it is gone."""
        self.with_journal()
        return self.journal.path.exists()

    def expected(self) -> None:
        """Raise :class:`Refused` where nothing was ever put in."""
        if not self.is_there:
            raise Refused(
                f"there is no archive at {relative(self.root)} yet.\n"
                "Put records into it with `procedures archive add RECORD…`."
            )

    def with_journal(self) -> None:
        """Raise :class:`Refused` where the journal of an archive is gone."""
        if self.key.is_there and not self.journal.path.exists():
            raise Refused(
                f"{relative(self.journal.path)} is missing: nothing tells what was put in.\n"
                "Bring it back from the backup of the archive; without one, `procedures archive "
                "index` begins another from the files that are there."
            )

    @contextmanager
    def writing(self, *, anew: bool = False) -> Iterator[None]:
        """Hold the archive alone; :class:`Refused` when another does so for too long.

        ``anew`` begins another journal where it is gone.
        """
        from filelock import FileLock, Timeout  # noqa: PLC0415 - for writers alone

        self.root.mkdir(parents=True, exist_ok=True)
        lock = FileLock(self.root / "lock", timeout=LOCK_SECONDS)
        try:
            with lock:
                if anew and self.key.is_there:
                    self.journal.begin()
                self.with_journal()
                self._prepare()
                yield
        except Timeout:
            raise Refused(
                f"{relative(self.root)} is being written to by somebody else, for more than "
                f"{LOCK_SECONDS:g} s.\nTry again when they are done; nothing was changed."
            ) from None
        finally:
            self.catalogue.close()

    def _prepare(self) -> None:
        if not self.key.is_there:
            if self.journal.size:
                raise Refused(
                    f"{relative(self.root / 'key')} is missing: without it neither registrations "
                    "nor doubles are known again.\nBring it back from the backup of the archive; "
                    "if there is none, begin another archive."
                )
            self.journal.begin()
            self.key.make()
            self.key.confirm()
            write_whole(self.root / "README.txt", _README.encode())
        else:
            self.key.confirm()
        self.journal.mend()

    # -- records -------------------------------------------------------------------------------

    def add(self, value: dict[str, Any]) -> Added:
        """Put a record in, which has been read without a fault of shape (inside ``writing``)."""
        record, left = kept(value, self.settings)
        job, _ = read_job(record)
        if job is None:
            raise RecordError("it does not say what it is a record of")
        registration = self._registration(value)
        file = self._file(job, record, registration)
        at, whole = self.catalogue.job_gone_at(job_mark(job))
        if gone := self.catalogue.gone_at(file) or (at if whole else ""):
            return Added("forgotten", gone)
        if at:
            record, registration = forgotten(record), ""
            file = self._file(job, record, registration)
        if (self.root / file).exists() and self._same(file, record):
            if self.catalogue.holds(file):
                return Added("double", file)
            how = "completed"
            content = (self.root / file).read_bytes()
        else:
            how, content = "added", content_of(record, registration)
            kept_in(file, content)  # what can't be read again is not put in
            write_whole(self.root / file, content)
        self.journal.append(Line("add", file, hash_of(content)))
        beside, against = self._beside(Kept(file, record, registration), job)
        return Added(how, file, tuple(left), beside, against, at)

    def _file(self, job: Job, record: dict[str, Any], registration: str) -> str:
        return file_for(job, self.key.hash(f"record {canonical(record)} {registration}")[:12])

    def _same(self, file: str, record: dict[str, Any]) -> bool:
        try:
            there, _ = read_kept(self.root, file)
        except RecordError:
            there = Kept(file, {})
        if canonical(there.record) != canonical(record):
            raise RecordError(
                f"{name_of(file)} is there under the same name, and says something else",
                "`procedures archive check` tells more: that file was edited or cut off",
            )
        return True

    def _registration(self, value: dict[str, Any]) -> str:
        reference = value.get("reference")
        if self.settings.registration == "leave-out" or not isinstance(reference, str):
            return ""
        return self.key.registration(reference)

    def _beside(self, new: Kept, job: Job) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The other records of the same job, and those among them that contradict it."""
        entry = entry_of(new)
        others = self.catalogue.of_job(entry.job) if entry else []
        others = [each for each in others if _same_plate(each.registration, new.registration)]
        files = [each.file for each in others if each.file != new.file]
        against = [file for file in files if self._contradicts(file, job)]
        return tuple(map(name_of, files)), tuple(map(name_of, against))

    def _contradicts(self, file: str, job: Job) -> bool:
        try:
            other = read_kept(self.root, file)[0].job()
        except (RecordError, OSError):  # `check` tells
            return False
        return other is not None and contradicts(job, other)

    def kept(self, file: str) -> Kept:
        """Return what a file holds; :class:`Refused` when it can't be read."""
        try:
            return read_kept(self.root, file)[0]
        except RecordError as error:
            why = error.message
        except OSError as error:
            why = error.strerror or str(error)
        raise Refused(
            f"{relative(self.root / file)}: {why}.\n"
            "Bring it back from a backup, or put its record in again."
        )

    def find(self, query: Query) -> list[Entry]:
        """Return the records that a query finds."""
        return self.catalogue.find(query) if self.is_there else []

    def file_named(self, word: str) -> str:
        """Return the one file whose name holds a word; :class:`Refused` for none or several."""
        found = self.catalogue.named(name_of(word)) if self.is_there and word.strip() else []
        if len(found) == 1:
            return found[0]
        if not found:
            raise Refused(f"there is no record `{word}` in {relative(self.root)}.")
        names = "\n".join(f"  {name_of(file)}" for file in found)
        raise Refused(f"`{word}` may be any of these:\n{names}\nName one of them.")

    def jobs(self, query: Query | None = None) -> Iterator[Job]:
        """Yield the jobs that a query finds, each with its sheet; unreadable files are left out."""
        for entry in self.find(query or Query()):
            try:
                held, _ = read_kept(self.root, entry.file)
            except (RecordError, OSError):
                continue
            job = held.job(self.sheet(entry.procedure, entry.digest))
            if job is not None:
                yield job

    def forget(self, file: str, *, whole: bool) -> str:
        """Take a customer out of a record, or with ``whole`` the record out of the archive.

        Inside ``writing``. The line in the journal stands before the old file goes: whatever stops
        this half-way, the next call or ``mended`` ends it. Returns the new name, "" without one.
        """
        if whole:
            self.journal.append(Line("delete", file, job=self._job_of(file)))
            (self.root / file).unlink(missing_ok=True)
            return ""
        held = self.kept(file)
        record = forgotten(held.record)
        job, _ = read_job(record)
        if job is None:
            raise Refused(
                f"{relative(self.root / file)} holds no record any more: delete it whole."
            )
        new = file_for(job, secrets.token_hex(6))
        content = content_of(record, "")
        write_whole(self.root / new, content)
        self.journal.append(Line("forget", file, hash_of(content), new, job=job_mark(job)))
        (self.root / file).unlink(missing_ok=True)
        return new

    def _job_of(self, file: str) -> str:
        try:
            job = read_kept(self.root, file)[0].job()
        except (RecordError, OSError):
            return ""
        return job_mark(job) if job else ""

    # -- sheets --------------------------------------------------------------------------------

    def keep_sheet(self, sheet: Sheet) -> bool:
        """Keep a sheet; False where it is kept already."""
        name = "_".join(
            (kebab(sheet.procedure)[:60], kebab(sheet.revision)[:20], kebab(sheet.digest))
        )
        path = self.root / "sheets" / f"{name}.json"
        if path.exists():
            return False
        write_whole(path, sheet_json(sheet))
        self.__dict__.pop("sheets", None)
        return True

    @cached_property
    def sheets(self) -> dict[tuple[str, str], Sheet]:
        """The sheets that are kept, by procedure and digest."""
        found = (
            read_sheet(path.read_bytes()) for path in sorted(self.root.glob("sheets/[!.]*.json"))
        )
        return {(sheet.procedure, sheet.digest): sheet for sheet in found if sheet}

    def sheet(self, procedure: str, digest: str) -> Sheet | None:
        """Return a sheet by procedure and digest; None where it is not kept."""
        return self.sheets.get((procedure, digest))

    def _about_sheet(self, name: str) -> tuple[str, str, str]:
        sheet = read_sheet((self.root / "sheets" / name).read_bytes())
        return (sheet.procedure, sheet.digest, sheet.kit) if sheet else ("", "", "")


def archive_of(folders: Folders, named: Path | None) -> Archive:
    """Return the shop's archive, or the one in the folder that is named; it need not be there.

    :class:`Refused` where the shop's settings of it are wrong, and for a folder of the manual.
    """
    faults = archive_faults(folders.shop, None if named else folders.pages)
    settings = read_shop(folders.shop)[0].archive
    if named and (wrong := place_fault(str(absolute(named)), folders.pages)):
        raise Refused(f"{wrong[0]}.\nGive the archive a folder of its own with --archive.")
    if faults:
        lines = (f"{relative(folders.shop)}:{e.place.line}: {e.message}\n{e.hint}" for e in faults)
        raise Refused("\n".join(lines))
    return Archive(absolute(named or folders.project / settings.folder), settings)


def _same_plate(one: str, other: str) -> bool:
    """Tell whether two records may be of one job by their registrations, as far as both tell."""
    return not one or not other or one == other


def now() -> datetime.datetime:
    """The moment, with the offset of this place."""
    return datetime.datetime.now().astimezone()
