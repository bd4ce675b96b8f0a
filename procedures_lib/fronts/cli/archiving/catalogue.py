"""The index of the archive in SQLite: what is found in it can always be read from the files."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from dataclasses import astuple, dataclass, fields
from pathlib import Path

from procedures_lib.fronts.cli.archiving.journal import Journal, Line
from procedures_lib.fronts.cli.archiving.kept_file import Entry, entry_of, read_kept
from procedures_lib.judging.records.record import RecordError
from procedures_lib.judging.records.remarks import KINDS

VERSION = "2"
_COLUMNS = [field.name for field in fields(Entry)]
_NUMBERS = {"steps", "readings"}
_SCHEMA = f"""
CREATE TABLE meta (name TEXT PRIMARY KEY, value TEXT);
CREATE TABLE jobs ({
    ", ".join(
        f"{name} {'INTEGER' if name in _NUMBERS else 'TEXT'}"
        f"{' PRIMARY KEY' if name == 'file' else ''}"
        for name in _COLUMNS
    )
});
CREATE TABLE gone (file TEXT PRIMARY KEY, at TEXT, job TEXT, now TEXT);
CREATE TABLE sheets (file TEXT PRIMARY KEY, procedure TEXT, digest TEXT, kit TEXT);
CREATE INDEX by_job ON jobs (job);
CREATE INDEX by_day ON jobs (day);
CREATE INDEX by_procedure ON jobs (procedure, digest);
CREATE INDEX by_vehicle ON jobs (vehicle);
CREATE INDEX by_registration ON jobs (registration);
CREATE INDEX by_remark ON jobs (day) WHERE remarks != '';
CREATE INDEX by_kit ON sheets (kit);
"""
_BATCH = 2000


@dataclass(frozen=True, slots=True)
class Query:
    """What to look for; "" asks nothing. Days are written as ``2026-11-25``, both included.

    ``remarked`` asks for records with any remark.
    """

    vehicle: str = ""
    registration: str = ""
    kit: str = ""
    procedure: str = ""
    revision: str = ""
    since: str = ""
    until: str = ""
    remark: str = ""
    remarked: bool = False


class Catalogue:
    """The index of one archive; made anew when it does not go with the journal."""

    def __init__(self, root: Path, journal: Journal, sheets: Callable[[str], tuple[str, str, str]]):
        self._root = root
        self._path = root / "index.sqlite"
        self._journal = journal
        self._sheet = sheets
        self._open: sqlite3.Connection | None = None
        self.unread: list[tuple[str, str]] = []

    def close(self) -> None:
        """Let go of the file."""
        if self._open is not None:
            self._open.close()
            self._open = None

    def drop(self) -> None:
        """Throw the index away."""
        self.close()
        for path in (self._path, self._path.with_name(f"{self._path.name}-journal")):
            path.unlink(missing_ok=True)

    def ready(self) -> sqlite3.Connection:
        """Return the index as the journal has it now. What can't be read is among ``unread``."""
        try:
            return self._brought_up(self._connected(str(self._path)))
        except sqlite3.DatabaseError:
            self.close()
        try:  # broken, or of another version
            self.drop()
            return self._brought_up(self._connected(str(self._path)))
        except (sqlite3.DatabaseError, OSError):  # no room, or not ours to write
            self.close()
            return self._brought_up(self._connected(":memory:"))

    def _connected(self, name: str) -> sqlite3.Connection:
        if self._open is None:
            self._open = sqlite3.connect(name, timeout=30)
            self._open.execute("PRAGMA secure_delete = ON")
        return self._open

    def _brought_up(self, db: sqlite3.Connection) -> sqlite3.Connection:
        known = self._meta(db)
        size = self._journal.size
        end = int(known.get("end", 0))
        fits = known.get("version") == VERSION and end <= size
        if not fits or self._journal.sum_at(end) != known.get("sum", ""):
            if known:
                raise sqlite3.DatabaseError("of another journal")
            db.executescript(_SCHEMA)
            end = 0
        if end < size or not known:
            read = self._journal.read(end)
            self._take(db, read.lines)
            self._note(db, read.end, read.sum)
        self._take_sheets(db)
        db.commit()
        return db

    def _meta(self, db: sqlite3.Connection) -> dict[str, str]:
        there = db.execute("SELECT 1 FROM sqlite_master WHERE name = 'meta'").fetchone()
        return dict(db.execute("SELECT name, value FROM meta")) if there else {}

    def _note(self, db: sqlite3.Connection, end: int, total: str) -> None:
        values = {"version": VERSION, "end": str(end), "sum": total}
        db.executemany("INSERT OR REPLACE INTO meta VALUES (?, ?)", values.items())

    def _take(self, db: sqlite3.Connection, lines: Iterable[Line]) -> None:
        """Do what the lines of the journal say; only the last word on each file is read."""
        last: dict[str, None] = {}
        gone: dict[str, Line] = {}
        for line in lines:
            if line.act != "add":
                gone[line.file] = line
                last.pop(line.file, None)
            if line.act != "delete":
                last[line.now or line.file] = None
        db.executemany("DELETE FROM jobs WHERE file = ?", ((file,) for file in gone))
        rows = ((line.file, line.at, line.job, line.now) for line in gone.values())
        db.executemany("INSERT OR REPLACE INTO gone VALUES (?, ?, ?, ?)", rows)
        batch: list[Entry] = []
        for entry in self._entries(last):
            batch.append(entry)
            if len(batch) >= _BATCH:
                _insert(db, batch)
                batch = []
        _insert(db, batch)

    def _entries(self, files: Iterable[str]) -> Iterator[Entry]:
        for file in files:
            try:
                kept, _ = read_kept(self._root, file)
                entry = entry_of(kept)
                why = "it holds no record any more"
            except RecordError as error:
                entry, why = None, error.message
            except OSError as error:
                entry, why = None, error.strerror or str(error)
            if entry is not None:
                yield entry
            else:
                self.unread.append((file, why))

    def _take_sheets(self, db: sqlite3.Connection) -> None:
        folder = self._root / "sheets"
        names = set(os.listdir(folder)) if folder.is_dir() else set()
        names = {name for name in names if name.endswith(".json") and name[0] != "."}
        known = {name for (name,) in db.execute("SELECT file FROM sheets")}
        rows = [(name, *self._sheet(name)) for name in sorted(names - known)]
        db.executemany("INSERT OR REPLACE INTO sheets VALUES (?, ?, ?, ?)", rows)
        db.executemany("DELETE FROM sheets WHERE file = ?", ((name,) for name in known - names))

    # -- questions -----------------------------------------------------------------------------

    def find(self, query: Query) -> list[Entry]:
        """Return what a query finds, by day and name."""
        where, values = _where(query)
        ask = f"SELECT {', '.join(_COLUMNS)} FROM jobs WHERE {where} ORDER BY day, file"  # noqa: S608
        return [Entry(*row) for row in self.ready().execute(ask, values)]

    def of_job(self, job: str) -> list[Entry]:
        """Return the records that are there of one job."""
        ask = f"SELECT {', '.join(_COLUMNS)} FROM jobs WHERE job = ? ORDER BY file"  # noqa: S608
        return [Entry(*row) for row in self.ready().execute(ask, (job,))]

    def named(self, word: str) -> list[str]:
        """Return the files whose names hold a word."""
        ask = "SELECT file FROM jobs WHERE instr(file, ?) ORDER BY file LIMIT 10"
        return [file for (file,) in self.ready().execute(ask, (word,))]

    def gone_at(self, file: str) -> str:
        """Return when a file was taken out for its customer, "" if it never was."""
        row = self.ready().execute("SELECT at FROM gone WHERE file = ?", (file,)).fetchone()
        return str(row[0]) if row else ""

    def job_gone_at(self, job: str) -> tuple[str, bool]:
        """Return when a job's customer was taken out, and whether the record went with them.

        "" if that never was.
        """
        ask = """SELECT at, now = '' FROM gone
                 WHERE job = ?1 OR now IN (SELECT file FROM jobs WHERE job = ?1)
                 ORDER BY now LIMIT 1"""
        row = self.ready().execute(ask, (job,)).fetchone()
        return (str(row[0]), bool(row[1])) if row else ("", False)

    def words(self, column: str) -> list[str]:
        """Return what stands in a column of the jobs, each once; of ``kit``, in the sheets."""
        table = "sheets" if column == "kit" else "jobs"
        if column not in {"kit", *_COLUMNS} or not self._journal.path.exists():
            return []
        ask = f"SELECT DISTINCT {column} FROM {table} WHERE {column} != '' ORDER BY 1"  # noqa: S608
        return [word for (word,) in self.ready().execute(ask)]

    def holds(self, file: str) -> bool:
        """Tell whether the index has a file."""
        ask = "SELECT 1 FROM jobs WHERE file = ?"
        return self.ready().execute(ask, (file,)).fetchone() is not None

    def count(self) -> int:
        """Return how many records there are."""
        return int(self.ready().execute("SELECT count(*) FROM jobs").fetchone()[0])


def _insert(db: sqlite3.Connection, batch: list[Entry]) -> None:
    marks = ", ".join("?" * len(_COLUMNS))
    db.executemany(f"INSERT OR REPLACE INTO jobs VALUES ({marks})", map(astuple, batch))  # noqa: S608


_LIKE = "remarks LIKE ? ESCAPE '\\'"


def _escaped(text: str) -> str:
    for sign in "\\%_":
        text = text.replace(sign, f"\\{sign}")
    return text


def _where(query: Query) -> tuple[str, list[str]]:
    parts, values = ["1"], []
    for column in ("vehicle", "registration", "procedure", "revision"):
        if word := getattr(query, column):
            parts.append(f"{column} = ?")
            values.append(word)
    for word, sign in ((query.since, ">="), (query.until, "<=")):
        if word:
            parts.append(f"day {sign} ?")
            values.append(word)
    if query.kit:
        parts.append("(procedure, digest) IN (SELECT procedure, digest FROM sheets WHERE kit = ?)")
        values.append(query.kit)
    if query.remarked:
        parts.append("remarks != ''")
    if query.remark:
        shown = [kind for kind, label in KINDS.items() if label == query.remark.casefold()]
        like = [f"%{_escaped(query.remark)}%", *(f"%{kind} %: %" for kind in shown)]
        parts.append(f"({' OR '.join(len(like) * [_LIKE])}) AND remarks != ''")
        values += like
    return " AND ".join(parts), values
