"""The archive at size: ``python -m tests.benchmarks.archive``.

Takes the number of records (100,000 unless said). Makes an archive of them, then prints how long it
takes to add one record more, each kind of search, a check, and the index made anew from the files;
seconds of the clock, the median of a few. The shop is invented.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any
from unittest import mock

from procedures_lib.fronts.cli.archiving.catalogue import Query
from procedures_lib.fronts.cli.archiving.journal import Line
from procedures_lib.fronts.cli.archiving.kept_file import content_of, file_for, hash_of
from procedures_lib.fronts.cli.archiving.personal import kept
from procedures_lib.fronts.cli.archiving.soundness import mend, troubles
from procedures_lib.fronts.cli.archiving.store import Archive
from procedures_lib.judging.records.job import read_job
from procedures_lib.manual.archive_settings import ArchiveSettings
from tests.invented_jobs import KITS, records, sheets

SMALLEST = ("40",)
"""The smallest runs, which the tests start."""

TIMES = 9


def main(count: int) -> None:
    """Fill an archive, and print what one more record, a search and a new index take."""
    with tempfile.TemporaryDirectory() as folder:
        archive = Archive(Path(folder), ArchiveSettings())
        _fill(archive, count)
        more = iter(list(_invented(TIMES, "2031")))

        def add() -> None:
            with archive.writing():
                assert archive.add(next(more)).how == "added"

        print(f"{count} records; seconds of the clock, the median of {TIMES}")
        _timed("one record more", add)
        mark = archive.key.registration("ZZ 17")
        for name, query in {
            "found by registration": Query(registration=mark),
            "found by kit": Query(kit="bd-310", since="2027-01-01", until="2027-01-31"),
            "found by remark": Query(remark="which way round"),
            "found by day": Query(since="2027-03-01", until="2027-03-02"),
            "found by procedure and revision": Query(procedure=KITS[0], revision="B"),
        }.items():
            _timed(f"{name} ({len(archive.find(query))})", partial(archive.find, query))
        _timed("check", lambda: list(troubles(archive)), 1)
        with archive.writing():
            _timed("index made anew", lambda: mend(archive), 1)
        assert archive.catalogue.count() == count + TIMES


def _fill(archive: Archive, count: int) -> None:
    """Fill an archive with files and lines as ``add`` writes them, without waiting for the disk."""
    settings = archive.settings
    with mock.patch.object(os, "fsync"), archive.writing():
        for sheet in (sheet for pair in sheets() for sheet in pair):
            archive.keep_sheet(sheet)
        for n, value in enumerate(_invented(count, "2027")):
            record, _ = kept(value, settings)
            job, _ = read_job(record)
            assert job is not None
            file, content = file_for(job, f"{n:012x}"), _content(archive, value, record)
            path = archive.root / file
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
            archive.journal.append(Line("add", file, hash_of(content)))


def _content(archive: Archive, value: dict[str, Any], record: dict[str, Any]) -> bytes:
    return content_of(record, archive.key.registration(value["reference"]))


def _invented(count: int, year: str) -> Any:
    """Yield records that differ in day, minute and plate: some hundred invented ones, repeated."""
    base = list(records(min(count, 400)))
    for n in range(count):
        value = base[n % len(base)]
        day, minute = 1 + n % 28, n // (28 * 12)
        begun = f"{year}-{1 + n // 28 % 12:02}-{day:02}T{minute // 60 % 24:02}:{minute % 60:02}"
        yield {**value, "begun": f"{begun}:00+01:00", "reference": f"ZZ {n}"}


def _timed(name: str, work: Callable[[], object], times: int = TIMES) -> None:
    took = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        took.append(time.perf_counter() - start)
    print(f"{name:44} {statistics.median(took):8.3f}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
