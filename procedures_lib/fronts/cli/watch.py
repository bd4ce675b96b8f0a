"""Watches folders, and reads and checks again what was saved."""

from __future__ import annotations

import os
import queue
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from watchfiles import watch

from procedures_lib.findings import Finding
from procedures_lib.fronts.cli.loading import Checked, Folders, count_pages, read_settings
from procedures_lib.fronts.cli.terminal import progress
from procedures_lib.judging.checks.mentions import touched
from procedures_lib.judging.checks.registry import check_alone, check_whole
from procedures_lib.manual import Manual
from procedures_lib.manual.collector import uncollected
from procedures_lib.manual.folder import page_names, read_content

_MOMENT = 0.5


class Watch:
    """Watches folders from a thread of its own, so that no save is lost while a build runs."""

    def __init__(self, *folders: Path) -> None:
        self._folders = folders
        self._seen: queue.SimpleQueue[Exception | None] = queue.SimpleQueue()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join(timeout=2)

    def wait(self, quiet: float | None = None) -> bool:
        """Return True when something was saved since the last call; raise what stopped the watch.

        Return False after ``quiet`` seconds without a save.
        """
        end = None if quiet is None else time.monotonic() + quiet
        while end is None or time.monotonic() < end:
            try:
                seen = self._seen.get(timeout=_MOMENT)  # short: Windows hears no Ctrl-C meanwhile
            except queue.Empty:
                continue
            while not self._seen.empty():
                seen = self._seen.get() or seen
            if seen is not None:
                raise seen
            return True
        return False

    def _run(self) -> None:
        try:
            for _ in watch(*self._folders, stop_event=self._stop, raise_interrupt=False):
                self._seen.put(None)
        except Exception as error:
            self._seen.put(error)


Marks = dict[str, tuple[int, int, int]]
"""For each file below a folder what tells that it is another: time, size and number on its disk."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A manual, and what was found in it and in its shop file."""

    manual: Manual
    checked: Checked


class Rereading:
    """The manual in a folder, read and checked again whenever it is asked for.

    What has not changed since the last time is not read again, and what the changes can't touch is
    not checked again: the findings are those of a full check.
    """

    def __init__(self, folders: Folders) -> None:
        self._folders = folders
        self._marks: Marks = {}
        self._manual: Manual | None = None
        self._found: dict[str, list[Finding]] = {}

    def look(self) -> Reading:
        """Read and check; ``Refused`` when there is no page."""
        shop, findings = read_settings(self._folders)
        count = count_pages(self._folders)
        marks = _marks_below(self._folders.pages)
        old = self._manual
        if old is None or old.shop != shop:
            with progress(count, 2, "Checking pages") as done:
                manual = Manual.read(self._folders.pages, shop, progress=done)
                self._check(manual, manual.contents, done)
        else:
            changed = {
                n for n in marks.keys() | self._marks.keys() if _differs(n, marks, self._marks)
            }
            manual = self._changed(old, changed)
            self._check(manual, touched(old, manual, changed))
        self._marks, self._manual = marks, manual
        found = {finding for page in self._found.values() for finding in page}
        found.update(check_whole(manual))
        return Reading(manual, Checked(tuple(manual.contents), tuple(sorted({*findings, *found}))))

    def _changed(self, old: Manual, changed: set[str]) -> Manual:
        pages = set(page_names(self._folders.pages))
        read = [read_content(name, self._folders.pages) for name in sorted(changed & pages)]
        return old.with_pages(read, old.contents.keys() - pages)

    def _check(
        self, manual: Manual, pages: Iterable[str], done: Callable[[], None] = lambda: None
    ) -> None:
        kept = {page: found for page, found in self._found.items() if page in manual.contents}
        with uncollected():
            for page in pages:
                kept[page] = check_alone(manual, page)
                done()
        self._found = kept


def _differs(name: str, marks: Marks, before: Marks) -> bool:
    return marks.get(name) != before.get(name)


def _marks_below(root: Path) -> Marks:
    marks = {}
    for folder, _, files in os.walk(root):
        for name in files:
            path = os.path.join(folder, name)
            try:
                state = os.stat(path)
            except OSError:
                continue
            relative = os.path.relpath(path, root).replace(os.sep, "/")
            marks[relative] = (state.st_mtime_ns, state.st_size, state.st_ino)
    return marks
