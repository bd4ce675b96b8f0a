"""``procedures take-over``: a shop's sheets and step lists into drafts of pages."""

from __future__ import annotations

from pathlib import Path

import click

from procedures_lib.findings import SlipError
from procedures_lib.fronts.cli.arguments import Folders, PathWord, Word, with_manual
from procedures_lib.fronts.cli.taking_over.plan import Plan, plan_of
from procedures_lib.fronts.cli.taking_over.report import tell_plan, tell_written
from procedures_lib.fronts.cli.taking_over.source import read_source
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused
from procedures_lib.manual import Manual

_PAGES = ("vehicle", "kit", "procedure")


@click.command("take-over", epilog=EXIT_CODES, short_help="Take a sheet or a step list over.")
@click.argument("file", type=PathWord(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--sheet", metavar="NAME", type=Word(), help="One sheet of a workbook.  [default: all]"
)
@click.option(
    "--to",
    "target",
    metavar=f"{'|'.join(_PAGES)} ID",
    type=(click.Choice(_PAGES), Word()),
    help="The page that it goes to.  [default: by the kind of list, named after the file]",
)
@click.option("--write", is_flag=True, help="Write the pages; without it, only show what would.")
@with_manual
def take_over(
    file: Path, sheet: str | None, target: tuple[str, str] | None, write: bool, folders: Folders
) -> int:
    """Take a list over into drafts of pages, and show first how it is read.

    FILE is a workbook (.xlsx, .xlsm), a CSV file, or a step list in plain text or Markdown
    (.txt, .md). Torque lists and fluid lists go to a vehicle, packing lists to a kit, tools and
    steps to a procedure. What is not clear becomes a blank, with what the sheet has; what can't be
    read is listed with its row. A second run brings what has changed since. Nothing in the file is
    ever run.

    Exit code 1: there are rows that were not taken over.
    """
    try:
        source = read_source(file, sheet)
    except SlipError as error:
        raise Refused(f"{error.message}: {error.hint}.") from None
    plan = plan_of(source, target, Manual.read(folders.pages), folders)
    tell_plan(plan)
    if write:
        tell_written(plan)
    elif any(page.changes.any for page in plan.pages):
        click.echo("Nothing is written: give --write to do it.", err=True)
    return ExitCode.FINDINGS if _is_short(plan) else ExitCode.CLEAN


def _is_short(plan: Plan) -> bool:
    return any(not left.title for left in plan.left) or any(page.held for page in plan.pages)
