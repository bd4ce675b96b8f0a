"""The manual and its shop file, read and checked: once, by several processes, after each save."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace

import click

from procedures_lib.findings import Finding, Level, Unjudged, counted
from procedures_lib.fronts.cli.arguments import SHOP_PAGE, Folders, relative
from procedures_lib.fronts.cli.terminal import ExitCode, Refused, progress
from procedures_lib.judging.checks import check_manual
from procedures_lib.judging.checks.mentions import touched
from procedures_lib.judging.checks.registry import check_alone, check_whole
from procedures_lib.judging.unjudged import unjudged_in
from procedures_lib.manual import Manual
from procedures_lib.manual.archive_faults import place_findings
from procedures_lib.manual.folder import Marks, marks_below, page_names, read_content, uncollected
from procedures_lib.manual.shop import Shop, read_shop


@dataclass(frozen=True, slots=True)
class Checked:
    """Findings, sorted, and the names of the pages that they are about.

    ``unjudged`` is what the checks can say nothing of, where that was asked about.
    """

    pages: tuple[str, ...]
    findings: tuple[Finding, ...]
    unjudged: tuple[Unjudged, ...] = ()

    def only(self, files: Collection[str]) -> Checked:
        """Leave out what is about other files; the shop file counts as one."""
        return Checked(
            tuple(page for page in self.pages if page in files),
            tuple(finding for finding in self.findings if finding.place.page in files),
            tuple(each for each in self.unjudged if each.place.page in files),
        )

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings of level error."""
        return tuple(f for f in self.findings if f.level is Level.ERROR)

    def summary(self, folders: Folders) -> str:
        """Return "12 pages, no findings" or "2 errors, 1 warning in 3 of 12 pages"."""
        total = counted(len(self.pages), "page")
        if not self.findings:
            return f"{total}, no findings"
        files = {finding.place.page for finding in self.findings}
        places = [relative(folders.shop)] if SHOP_PAGE in files else []
        if bad := len(files - {SHOP_PAGE}):
            places.append(f"{bad} of {total}")
        return f"{counts(self.findings)} in {' and '.join(places)}"

    def warn(self, folders: Folders, drawn: str = "") -> ExitCode:
        """Print on stderr how many errors there are; return the exit code that goes with it.

        ``drawn`` is what was drawn from these pages all the same.
        """
        if not self.errors:
            return ExitCode.CLEAN
        errors = Checked(self.pages, self.errors)
        files = {finding.place.page for finding in errors.findings}
        named = sorted(files, key=lambda file: (file == SHOP_PAGE, file))
        lack = f" that {drawn} is drawn from; it may lack a row" if drawn else ""
        click.echo(
            f"\nNote: {errors.summary(folders)}{lack}.\n"
            f"See `procedures check {' '.join(folders.way_to(file) for file in named)}`.",
            err=True,
        )
        return ExitCode.FINDINGS


def counts(findings: Sequence[Finding]) -> str:
    """Return "2 errors, 1 warning"; "" for no findings."""
    errors = sum(finding.level is Level.ERROR for finding in findings)
    numbers = [(errors, "error"), (len(findings) - errors, "warning")]
    return ", ".join(counted(number, noun) for number, noun in numbers if number)


def read_settings(folders: Folders) -> tuple[Shop, tuple[Finding, ...]]:
    """Read the shop file; :class:`Refused` when it can't be read at all."""
    shop, findings = read_shop(folders.shop)
    for finding in findings:
        if finding.check == "unreadable-page":
            where = f"{relative(folders.shop)}:{finding.place.line}"
            raise Refused(f"{where}: {finding.message}\n{finding.hint}")
    findings += place_findings(folders.shop, shop, folders.pages)
    return shop, tuple(findings)


def count_pages(folders: Folders) -> int:
    """Return how many pages there are; :class:`Refused` when there are none."""
    count = len(page_names(folders.pages))
    if not count:
        raise Refused(
            f"{relative(folders.pages)} holds no pages (files that end in .md).\n"
            "Name the folder of the manual's pages with --manual."
        )
    return count


def read_manual(
    folders: Folders, day: datetime.date | None = None
) -> tuple[Manual, tuple[Finding, ...]]:
    """Read shop and pages; the findings are the shop's alone.

    Calibrations are judged only for a day.
    """
    shop, findings = read_settings(folders)
    with progress(count_pages(folders), 1, "Reading pages") as done:
        return Manual.read(folders.pages, shop.judged_on(day), progress=done), findings


def read_and_check(folders: Folders, day: datetime.date | None = None, jobs: int = 1) -> Checked:
    """Read and check all of the manual and its shop, in this process or in several.

    What can't be judged is told as well.
    """
    if jobs == 1:
        reading = Rereading(folders, day).look()
        return replace(reading.checked, unjudged=tuple(unjudged_in(reading.manual)))
    shop, findings = read_settings(folders)
    unjudged: list[Unjudged] = []
    with progress(count_pages(folders), 2, "Checking pages") as done:
        found = _checked_by_several(folders, shop.judged_on(day), jobs, done, unjudged)
    pages = tuple(page_names(folders.pages))
    return Checked(pages, tuple(sorted({*findings, *found})), tuple(unjudged))


def _checked_by_several(
    folders: Folders, shop: Shop, jobs: int, done: Callable[[], None], unjudged: list[Unjudged]
) -> list[Finding]:
    from concurrent.futures import ProcessPoolExecutor  # noqa: PLC0415 - most runs need none

    from procedures_lib.judging.checks.executors import check_through  # noqa: PLC0415 - as above

    def several_done(pages: int) -> None:
        for _ in range(pages):
            done()

    with ProcessPoolExecutor(jobs) as pool:
        return check_through(
            pool,
            folders.pages,
            shop,
            several_done,
            lambda manual: unjudged.extend(unjudged_in(manual)),
        )


def check_pages(manual: Manual, pages: Iterable[str]) -> Checked:
    """Return the findings of some pages of a manual."""
    names = sorted(set(pages))
    return Checked(tuple(names), tuple(check_manual(manual, names)))


@dataclass(frozen=True, slots=True)
class Reading:
    """A manual, and what was found in it and in its shop file."""

    manual: Manual
    checked: Checked


class Rereading:
    """The manual in a folder, read and checked again whenever it is asked for.

    What has not changed since the last time is not read again, and what the changes can't touch is
    not checked again: the findings are those of a full check. Calibrations are judged for ``day``.
    """

    def __init__(self, folders: Folders, day: datetime.date | None = None) -> None:
        self._folders = folders
        self._day = day
        self._marks: Marks = {}
        self._manual: Manual | None = None
        self._found: dict[str, list[Finding]] = {}

    def look(self) -> Reading:
        """Read and check; ``Refused`` when there is no page."""
        shop, findings = read_settings(self._folders)
        shop = shop.judged_on(self._day)
        count = count_pages(self._folders)
        marks = marks_below(self._folders.pages)
        old = self._manual
        if old is None or old.shop != shop:
            with progress(count, 2, "Checking pages") as done:
                manual = Manual.read(self._folders.pages, shop, progress=done)
                self._check(manual, manual.contents, done)
        else:
            changed = {name for name, _ in marks.items() ^ self._marks.items()}
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
