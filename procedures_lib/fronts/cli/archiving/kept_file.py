"""One record in the archive: its file, how that is named, and what can be told from it."""

from __future__ import annotations

import hashlib
import json
import re
import secrets
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from procedures_lib.judging.records.job import Job, job_key, read_job
from procedures_lib.judging.records.record import (
    MOST_BYTES,
    MOST_REMARK_SIGNS,
    RecordError,
    load_record,
)
from procedures_lib.judging.records.sheet import Sheet
from procedures_lib.language.entities.field_types import kebab

FORMAT = 1
_FILE = re.compile(r"jobs/\d{4}/\d{2}/[a-z0-9_-]{1,200}\.json")
_LONGEST_WORD = 48
UNDATED = "0000-00-00"


@dataclass(frozen=True, slots=True)
class Kept:
    """What stands in a file: the record as it is kept, and the hash of its registration."""

    file: str
    record: dict[str, Any]
    registration: str = ""

    def job(self, sheet: Sheet | None = None) -> Job | None:
        """Return the job that it is the record of; None where it is a record no more."""
        job = read_job(self.record, name_of(self.file), sheet)[0]
        reference = self.record.get("reference")
        known = reference.strip() if isinstance(reference, str) else ""
        return job and replace(job, registration=known or self.registration)


def name_of(file: str) -> str:
    """Return what a file is called on the command line: without folders and ending."""
    return file.rpartition("/")[2].removesuffix(".json")


def file_for(job: Job, mark: str) -> str:
    """Return where the record of a job is kept: by date, car and job; ``mark`` tells it apart."""
    day = job.day.isoformat() if job.day else UNDATED
    words = [_word(job.vehicle) or "no-car", _word(job.record.procedure) or "no-procedure"]
    return f"jobs/{day[:4]}/{day[5:7]}/{'_'.join([day, *words, mark])}.json"


def _word(text: str) -> str:
    return kebab(text)[:_LONGEST_WORD].strip("-")


def content_of(record: dict[str, Any], registration: str) -> bytes:
    """Return the bytes of a file. Its salt keeps a hash of it from telling what stood in it."""
    value = {"format": FORMAT, "salt": secrets.token_hex(16), "registration": registration,
             "record": record}  # fmt: skip
    try:
        content = json.dumps(value, ensure_ascii=False, indent=1).encode()
    except UnicodeEncodeError:  # half a character, which JSON can hold and UTF-8 can't
        content = json.dumps(value, indent=1).encode()
    return content + b"\n"


def canonical(record: dict[str, Any]) -> str:
    """Return a record as the one text that all its ways of writing have in common."""
    return json.dumps(record, ensure_ascii=True, sort_keys=True, separators=(",", ":"))


def hash_of(content: bytes) -> str:
    """Return the SHA-256 of a file in hex (FIPS 180-4)."""
    return hashlib.sha256(content).hexdigest()


def read_kept(root: Path, file: str) -> tuple[Kept, str]:
    """Return what a file of the archive holds, and its hash; ``RecordError`` where it holds none.

    A name that no file of the archive has is not opened.
    """
    if not _FILE.fullmatch(file):
        raise RecordError(f"`{file[:80]}` is no name of a file of the archive")
    content = (root / file).read_bytes()
    return kept_in(file, content), hash_of(content)


def kept_in(file: str, content: bytes) -> Kept:
    """Return what the bytes of a file hold; ``RecordError`` where they hold nothing of that."""
    value = load_record(content, 2 * MOST_BYTES)
    record, registration = value.get("record"), value.get("registration")
    if value.get("format") != FORMAT or not isinstance(record, dict):
        raise RecordError("it is no file of the archive")
    known = registration if isinstance(registration, str) else ""
    return Kept(file, record, known)


@dataclass(frozen=True, slots=True)
class Entry:
    """What the index knows of a file; ``job`` is the same for all records of one job."""

    file: str
    job: str
    procedure: str
    revision: str
    digest: str
    vehicle: str
    car: str
    registration: str
    day: str
    steps: int
    readings: int
    remarks: str

    @property
    def name(self) -> str:
        """What it is called on the command line."""
        return name_of(self.file)

    @property
    def car_text(self) -> str:
        """The car with its options in words."""
        options: dict[str, str] = json.loads(self.car)
        return ", ".join([self.vehicle or "?", *(f"{o}={v}" for o, v in options.items() if v)])


def _utf8(text: str) -> bytes:
    """A text as UTF-8, which has no half characters."""
    return text.encode("utf-8", "replace")


def remarks_aside(record: dict[str, Any]) -> list[tuple[str, str]]:
    """Return kind and words of the remarks on steps that the page of the record had no more."""
    aside = record.get("set_aside")
    return [
        (str(each["kind"])[:MOST_REMARK_SIGNS], str(each.get("text", ""))[:MOST_REMARK_SIGNS])
        for each in (aside if isinstance(aside, list) else [])
        if isinstance(each, dict) and "kind" in each
    ]


def job_mark(job: Job) -> str:
    """Return what all records of one job have in common, as 16 hex digits."""
    return hashlib.sha256(_utf8("\n".join(job_key(job)))).hexdigest()[:16]


def entry_of(kept: Kept) -> Entry | None:
    """Return the entry of a file; None where it holds a record no more."""
    job = kept.job()
    if job is None:
        return None
    record = job.record
    said = [f"{r.kind} {r.step}: {r.text}" for r in job.remarks]
    said += [f"{kind}, set aside: {text}" for kind, text in remarks_aside(kept.record)]
    remarks = "\n".join(said)
    return Entry(
        file=kept.file,
        job=job_mark(job),
        procedure=_utf8(record.procedure).decode(),
        revision=_utf8(record.revision).decode(),
        digest=_utf8(record.digest).decode(),
        vehicle=_utf8(job.vehicle).decode(),
        car=json.dumps(dict(record.car)),
        registration=kept.registration,
        day=job.day.isoformat() if job.day else UNDATED,
        steps=len(record.steps),
        readings=len(record.readings),
        remarks=_utf8(remarks).decode(),
    )
