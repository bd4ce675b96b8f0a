"""Reads the shop and the manual, and checks them."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.checks import check_manual
from procedures_lib.checks.spread import check_through
from procedures_lib.cli.exits import Refused
from procedures_lib.cli.folders import relative
from procedures_lib.cli.progress import progress
from procedures_lib.findings import Level
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import page_names
from procedures_lib.manual.shop import read_shop

if TYPE_CHECKING:
    import datetime
    from collections.abc import Callable, Collection

    from procedures_lib.cli.folders import Folders
    from procedures_lib.findings import Finding
    from procedures_lib.manual.shop import Shop


@dataclass(frozen=True, slots=True)
class Checked:
    """Findings, sorted, and the names of the pages that they are about."""

    pages: tuple[str, ...]
    findings: tuple[Finding, ...]

    def only(self, files: Collection[str]) -> Checked:
        """Leave out what is about other files; the shop file counts as one."""
        return Checked(
            tuple(page for page in self.pages if page in files),
            tuple(finding for finding in self.findings if finding.place.page in files),
        )

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings of level error."""
        return tuple(f for f in self.findings if f.level is Level.ERROR)


def read_settings(folders: Folders) -> tuple[Shop, tuple[Finding, ...]]:
    """Read the shop file; :class:`Refused` when it can't be read at all."""
    shop, findings = read_shop(folders.shop)
    for finding in findings:
        if finding.check == "unreadable-page":
            where = f"{relative(folders.shop)}:{finding.place.line}"
            raise Refused(f"{where}: {finding.message}\n{finding.hint}")
    return shop, tuple(findings)


def read_manual(folders: Folders) -> tuple[Manual, tuple[Finding, ...]]:
    """Read shop and pages; the findings are the shop's alone."""
    shop, findings = read_settings(folders)
    with progress(count_pages(folders), 1, "Reading pages") as done:
        return Manual.read(folders.pages, shop, progress=done), findings


def read_and_check(folders: Folders, day: datetime.date | None = None, jobs: int = 1) -> Checked:
    """Read and check all of the manual and its shop, in this process or in several.

    Calibrations are judged only for a day.
    """
    shop, findings = read_settings(folders)
    shop = shop.judged_on(day)
    with progress(count_pages(folders), 2, "Checking pages") as done:
        if jobs > 1:
            pages, found = page_names(folders.pages), _checked_by_several(folders, shop, jobs, done)
        else:
            manual = Manual.read(folders.pages, shop, progress=done)
            pages, found = list(manual.contents), check_manual(manual, progress=done)
    return Checked(tuple(pages), tuple(sorted({*findings, *found})))


def _checked_by_several(
    folders: Folders, shop: Shop, jobs: int, done: Callable[[], None]
) -> list[Finding]:
    def several_done(pages: int) -> None:
        for _ in range(pages):
            done()

    with ProcessPoolExecutor(jobs) as pool:
        return check_through(pool, folders.pages, shop, several_done)


def count_pages(folders: Folders) -> int:
    """Return how many pages there are; :class:`Refused` when there are none."""
    count = len(page_names(folders.pages))
    if not count:
        raise Refused(
            f"{relative(folders.pages)} holds no pages (files that end in .md).\n"
            "Name the folder of the manual's pages with --manual."
        )
    return count
