"""``procedures check``: what is wrong in the manual, all of it or what a change can touch."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path
from typing import Any

import click

from procedures_lib.fronts.cli.arguments import (
    Folders,
    PathWord,
    Word,
    with_colour,
    with_day,
    with_folders,
    with_format,
    with_jobs,
)
from procedures_lib.fronts.cli.checked_manual import Checked, read_and_check, read_manual
from procedures_lib.fronts.cli.report import (
    report_github,
    report_json,
    report_junit,
    report_sarif,
    report_text,
    report_unjudged,
)
from procedures_lib.fronts.cli.revision import changed_since, files_at, is_page
from procedures_lib.fronts.cli.selection import choose
from procedures_lib.fronts.cli.terminal import (
    EXIT_CODES,
    ExitCode,
    Refused,
    has_colour,
    write_json,
    write_text,
)
from procedures_lib.judging.checks.mentions import touched
from procedures_lib.judging.checks.registry import check_page, check_whole
from procedures_lib.judging.unjudged import count_text, unjudged_in
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import ENDING


@click.command(epilog=EXIT_CODES)
@click.argument("paths", nargs=-1, metavar="[PATH]…", type=PathWord(path_type=Path))
@with_format(
    "text",
    "json",
    "sarif",
    "github",
    "junit",
    about="How to write the findings: for people, for programs, as SARIF 2.1.0, as annotations of "
    "a pull request, as the report of a test run.",
)
@click.option("--verbose", is_flag=True, help="Say so when there is nothing to report.")
@click.option(
    "--unjudged",
    is_flag=True,
    help="List what the checks can say nothing of, too: joints without thread or class, numbers "
    "typed once, procedures that are not walked, work in free words.",
)
@with_jobs("read and check pages")
@click.option(
    "--changed-since",
    "revision",
    metavar="REV",
    type=Word(),
    help="Only what the changes since this git revision can touch: the pages that changed, "
    "those not committed too, and the pages that lean on them.",
)
@with_day
@with_colour
@with_folders
def check(
    paths: tuple[Path, ...],
    revision: str | None,
    day: datetime.date,
    jobs: int,
    folders: Folders,
    **output: Any,
) -> int:
    """Check the manual and its shop file, and print what is wrong.

    With each PATH, a page or a folder inside the manual, only its findings are shown; the whole
    manual is read all the same. The shop file is a PATH too. The last line counts what can't be
    judged; a manual without findings, all of which is judged, prints nothing.
    """
    if output["unjudged"] and output["form"] not in _LISTING:
        raise Refused(f"--unjudged goes with --format {' or '.join(_LISTING)}, which can list it.")
    chosen = choose(paths, folders)
    if revision is None:
        checked = read_and_check(folders, day, jobs)
    else:
        checked = _check_changed(revision, folders, day)
    if paths:
        checked = checked.only(chosen)
    _print(checked, folders, **output)
    return ExitCode.FINDINGS if checked.errors else ExitCode.CLEAN


_LISTING = ("text", "json")
"""The formats that tell what can't be judged."""


def _print(
    checked: Checked, folders: Folders, form: str, verbose: bool, unjudged: bool, colour: str
) -> None:
    if form == "json":
        write_json(report_json(checked, folders, unjudged))
    elif form == "sarif":
        write_json(report_sarif(checked, folders))
    elif form == "github":
        write_text(report_github(checked, folders))
    elif form == "junit":
        write_text(report_junit(checked, folders))
    else:
        listed = report_unjudged(checked, folders) if unjudged else ""
        found = report_text(checked, folders) if checked.findings or verbose else ""
        count = count_text(checked.unjudged)
        count += "" if unjudged or not count else " (`procedures check --unjudged` lists them)"
        for text in filter(None, (found, listed, count)):
            click.echo(text, color=has_colour(colour, sys.stdout))


def _check_changed(revision: str, folders: Folders, day: datetime.date) -> Checked:
    """Return the findings of a full check on the pages that the changes since can touch.

    All pages count when the shop file has changed, or when that can't be told.
    """
    changed = changed_since(revision, folders.pages)
    if _has_another_shop(revision, folders):
        return read_and_check(folders, day)
    manual, _ = read_manual(folders, day)
    changed |= {name for name in manual.contents if folders.path_of(name).is_symlink()}
    then = _manual_at(revision, manual, changed, folders)
    alone = touched(then, manual, changed)
    whole = set(check_whole(manual)).difference(check_whole(then))
    found = {*whole, *(each for page in sorted(alone) for each in check_page(manual, page))}
    pages = alone | {finding.place.page for finding in whole}
    unjudged = tuple(unjudged_in(manual, pages))
    return Checked(tuple(manual.contents), tuple(sorted(found)), unjudged).only(pages)


def _manual_at(revision: str, manual: Manual, changed: set[str], folders: Folders) -> Manual:
    """The manual as it was at a revision, when ``changed`` are the paths that differ."""
    pages = {name for name in changed if is_page(name)}
    then = files_at(revision, folders.pages, ENDING) if pages else {}
    old = [build(read_page(then[name], name)) for name in sorted(pages & then.keys())]
    return manual.with_pages(old, gone=pages - then.keys())


def _has_another_shop(revision: str, folders: Folders) -> bool:
    if not folders.shop.parent.is_dir():
        return False
    try:
        return folders.shop.name in changed_since(revision, folders.shop.parent)
    except Refused:  # it lies in no repository, or in another
        return folders.shop.is_file()
