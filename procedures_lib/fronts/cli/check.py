"""``procedures check``: what is wrong in the manual, all of it or what a change can touch."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.fronts.cli.arguments import choose, with_day, with_jobs
from procedures_lib.fronts.cli.ci_reports import (
    report_github,
    report_json,
    report_junit,
    report_sarif,
)
from procedures_lib.fronts.cli.loading import (
    Checked,
    Folders,
    PathWord,
    Word,
    count_pages,
    read_and_check,
    read_settings,
    with_folders,
)
from procedures_lib.fronts.cli.report import report
from procedures_lib.fronts.cli.revision import changed_since, files_at
from procedures_lib.fronts.cli.terminal import (
    EXIT_CODES,
    ExitCode,
    Refused,
    progress,
    wanted,
    with_colour,
    write_json,
    write_text,
)
from procedures_lib.judging.checks.mentions import touched
from procedures_lib.judging.checks.registry import check_page, check_whole
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import ENDING

if TYPE_CHECKING:
    import datetime


def with_changed(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--changed-since`` to a command, which gets the revision or None."""
    option = click.option(
        "--changed-since",
        "revision",
        metavar="REV",
        type=Word(),
        help="Only what the changes since this git revision can touch: the pages that changed, "
        "those not committed too, and the pages that lean on them.",
    )
    return option(command)


def check_changed(revision: str, folders: Folders, day: datetime.date | None = None) -> Checked:
    """Return the findings of a full check on the pages that the changes since can touch.

    All pages count when the shop file has changed, or when that can't be told.
    """
    changed = changed_since(revision, folders.pages)
    if _shop_changed(revision, folders):
        return read_and_check(folders, day)
    shop, _ = read_settings(folders)
    with progress(count_pages(folders), 1, "Reading pages") as done:
        manual = Manual.read(folders.pages, shop.judged_on(day), progress=done)
    changed |= {name for name in manual.contents if folders.path_of(name).is_symlink()}
    then = _manual_at(revision, manual, changed, folders)
    alone = touched(then, manual, changed)
    whole = set(check_whole(manual)).difference(check_whole(then))
    found = {*whole, *(each for page in sorted(alone) for each in check_page(manual, page))}
    pages = alone | {finding.place.page for finding in whole}
    return Checked(tuple(manual.contents), tuple(sorted(found))).only(pages)


def _manual_at(revision: str, manual: Manual, changed: set[str], folders: Folders) -> Manual:
    """The manual as it was at a revision, when ``changed`` are the paths that differ."""
    pages = {name for name in changed if _is_page(name)}
    then = files_at(revision, folders.pages, ENDING) if pages else {}
    old = [build(read_page(then[name], name)) for name in sorted(pages & then.keys())]
    return manual.with_pages(old, gone=pages - then.keys())


def _is_page(name: str) -> bool:
    *folders, file = name.split("/")
    hidden = file.startswith(".") or any(folder[0] in "._" for folder in folders)
    return file.endswith(ENDING) and not hidden


def _shop_changed(revision: str, folders: Folders) -> bool:
    if not folders.shop.parent.is_dir():
        return False
    try:
        return folders.shop.name in changed_since(revision, folders.shop.parent)
    except Refused:  # it lies in no repository, or in another
        return folders.shop.is_file()


FORMATS = ("text", "json", "sarif", "github", "junit")


@click.command(epilog=EXIT_CODES)
@click.argument("paths", nargs=-1, metavar="[PATH]…", type=PathWord(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(FORMATS),
    default="text",
    show_default=True,
    help="How to write the findings: for people, for programs, as SARIF 2.1.0, as annotations of a "
    "pull request, as the report of a test run.",
)
@click.option("--verbose", is_flag=True, help="Say so when there is nothing to report.")
@partial(with_jobs, what="read and check pages")
@with_changed
@with_day
@with_colour
@with_folders
def check(
    paths: tuple[Path, ...],
    revision: str | None,
    day: datetime.date,
    jobs: int,
    folders: Folders,
    **shown: Any,
) -> int:
    """Check the manual and its shop file, and print what is wrong.

    With each PATH, a page or a folder inside the manual, only its findings are shown; the whole
    manual is read all the same. The shop file is a PATH too. A manual without findings prints
    nothing.
    """
    chosen = choose(paths, folders)
    if revision is None:
        checked = read_and_check(folders, day, jobs)
    else:
        checked = check_changed(revision, folders, day)
    if paths:
        checked = checked.only(chosen)
    _print(checked, folders, **shown)
    return ExitCode.FINDINGS if checked.errors else ExitCode.CLEAN


def _print(checked: Checked, folders: Folders, form: str, verbose: bool, colour: str) -> None:
    if form == "json":
        write_json(report_json(checked, folders))
    elif form == "sarif":
        write_json(report_sarif(checked, folders))
    elif form == "github":
        write_text(report_github(checked, folders))
    elif form == "junit":
        write_text(report_junit(checked, folders))
    elif checked.findings or verbose:
        click.echo(report(checked, folders), color=wanted(colour, sys.stdout))
