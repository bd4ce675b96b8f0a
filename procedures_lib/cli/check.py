"""``procedures check``: what is wrong in the manual, and where."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from procedures_lib.cli.choosing import choose
from procedures_lib.cli.colour import wanted, with_colour
from procedures_lib.cli.exits import EXIT_CODES, ExitCode
from procedures_lib.cli.folders import with_folders
from procedures_lib.cli.loading import read_and_check
from procedures_lib.cli.output import write_json
from procedures_lib.cli.report import report
from procedures_lib.cli.report_json import report_json

if TYPE_CHECKING:
    from procedures_lib.cli.folders import Folders


@click.command(epilog=EXIT_CODES)
@click.argument("paths", nargs=-1, metavar="[PATH]…", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="How to write the findings.",
)
@click.option("--verbose", is_flag=True, help="Say so when there is nothing to report.")
@with_colour
@with_folders
def check(paths: tuple[Path, ...], form: str, verbose: bool, colour: str, folders: Folders) -> int:
    """Check the manual and its shop file, and print what is wrong.

    With each PATH, a page or a folder inside the manual, only its findings are shown; the whole
    manual is read all the same. The shop file is a PATH too. A manual without findings prints
    nothing.
    """
    chosen = choose(paths, folders)
    checked = read_and_check(folders)
    if paths:
        checked = checked.only(chosen)
    if form == "json":
        write_json(report_json(checked, folders))
    elif checked.findings or verbose:
        click.echo(report(checked, folders), color=wanted(colour, sys.stdout))
    return ExitCode.FINDINGS if checked.errors else ExitCode.CLEAN
