"""Reads and checks the manual, and after that only what has changed since."""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.checks.reach import touched
from procedures_lib.checks.run import check_alone, check_whole
from procedures_lib.cli.loading import Checked, count_pages, read_settings
from procedures_lib.cli.progress import progress
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import page_names, read_content
from procedures_lib.manual.uncollected import uncollected

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

    from procedures_lib.cli.folders import Folders
    from procedures_lib.findings import Finding

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
        """Read and check; :class:`procedures_lib.cli.exits.Refused` when there is no page."""
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
