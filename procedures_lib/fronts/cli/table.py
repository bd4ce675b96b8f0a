"""``procedures table``: a table of one procedure, for a terminal, a spreadsheet or a program."""

from __future__ import annotations

import os
import shutil
import sys

import click

from procedures_lib.fronts.cli.arguments import find_plan, read_when, with_when
from procedures_lib.fronts.cli.loading import Folders, Word, read_manual, with_folders
from procedures_lib.fronts.cli.report import errors_behind, warn_of
from procedures_lib.fronts.cli.terminal import EXIT_CODES, write_json, write_text
from procedures_lib.fronts.formats import TABLES, csv_text, make_table, plain_text, table_json
from procedures_lib.view.table import Table
from procedures_lib.view.uses import Uses, uses_of


@click.command(epilog=EXIT_CODES)
@click.argument("name", metavar="|".join(TABLES), type=click.Choice(TABLES))
@click.argument("procedure", type=Word())
@with_when
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
    help="How to write the table.",
)
@with_folders
def table(name: str, procedure: str, when: tuple[str, ...], form: str, folders: Folders) -> int:
    """Print the torque table, parts list or tool list of a procedure.

    On a terminal that is narrower than the table, each row is written as a record. CSV is UTF-8
    as in RFC 4180; a cell that begins with = + - @ or an apostrophe gets an apostrophe in front,
    so that no spreadsheet runs it. JSON also has the torques in N·m and the angles as numbers.

    A table drawn from pages with errors may lack a row: it is printed, with a note on stderr and
    exit code 1.
    """
    manual, shop_findings = read_manual(folders)
    plan = find_plan(procedure, manual)
    uses = uses_of(plan, read_when(when, plan))
    made = make_table(name, uses, manual.shop)
    _write(made, uses, form)
    return warn_of(errors_behind(plan, manual, shop_findings), folders)


def _write(made: Table, uses: Uses, form: str) -> None:
    if form == "json":
        write_json(table_json(made, uses))
    elif form == "csv":
        write_text(csv_text(made))
    else:
        cars = f", {uses.when}" if str(uses.when) else ""
        click.echo(f"{made.caption}: {uses.plan.title} ({uses.plan.head.id}{cars})\n")
        click.echo(plain_text(made, columns_of_terminal()), nl=False)


def columns_of_terminal() -> int | None:
    """Return the width of the terminal; None, for no limit, when the output goes elsewhere."""
    if sys.stdout.isatty() or os.environ.get("COLUMNS"):
        return shutil.get_terminal_size().columns
    return None
