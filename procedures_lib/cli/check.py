"""``procedures check``: what is wrong in the manual, and where."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.cli.changed import check_changed, with_changed
from procedures_lib.cli.choosing import choose
from procedures_lib.cli.colour import wanted, with_colour
from procedures_lib.cli.days import with_day
from procedures_lib.cli.exits import EXIT_CODES, ExitCode
from procedures_lib.cli.folders import with_folders
from procedures_lib.cli.jobs import with_jobs
from procedures_lib.cli.loading import read_and_check
from procedures_lib.cli.output import write_json, write_text
from procedures_lib.cli.report import report
from procedures_lib.cli.report_github import report_github
from procedures_lib.cli.report_json import report_json
from procedures_lib.cli.report_junit import report_junit
from procedures_lib.cli.report_sarif import report_sarif
from procedures_lib.cli.words import PathWord

if TYPE_CHECKING:
    import datetime

    from procedures_lib.cli.folders import Folders
    from procedures_lib.cli.loading import Checked

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
