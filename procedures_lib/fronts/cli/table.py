"""``procedures table``: a table of one procedure, for a terminal, a spreadsheet or a program."""

from __future__ import annotations

import click

from procedures_lib.fronts.cli.arguments import (
    Folders,
    Word,
    with_folders,
    with_format,
    with_when,
    with_width,
)
from procedures_lib.fronts.cli.selection import select
from procedures_lib.fronts.cli.terminal import EXIT_CODES, write_json, write_text
from procedures_lib.fronts.cli.terminal import width as columns
from procedures_lib.fronts.formats import csv_text, plain_text, table_json
from procedures_lib.fronts.tables.procedure_tables import TABLES, make_table
from procedures_lib.manual.shop import Shop
from procedures_lib.view.uses import Uses, uses_of


@click.command(epilog=EXIT_CODES)
@click.argument("name", metavar="|".join(TABLES), type=click.Choice(TABLES))
@click.argument("procedure", type=Word())
@with_when
@with_format("text", "csv", "json", about="How to write the table.")
@with_width
@with_folders
def table(
    name: str,
    procedure: str,
    when: tuple[str, ...],
    form: str,
    folders: Folders,
    width: int | None,
) -> int:
    """Print the torque table, parts list or tool list of a procedure.

    On a terminal that is narrower than the table, or than `--width`, each row is written as a
    record. CSV is UTF-8
    as in RFC 4180; a cell that begins with = + - @ or an apostrophe gets an apostrophe in front,
    so that no spreadsheet runs it. JSON has the rows as `procedures export` has them: as numbers,
    the torques in N·m and the angles too.

    A table drawn from pages with errors may lack a row: it is printed, with a note on stderr and
    exit code 1.
    """
    chosen = select(folders, procedure, when)
    uses = uses_of(chosen.plan, chosen.cars)
    _write(name, uses, chosen.manual.shop, form, columns(width))
    return chosen.behind().warn(folders, "this table")


def _write(name: str, uses: Uses, shop: Shop, form: str, room: int | None) -> None:
    if form == "json":
        write_json(table_json(name, uses, shop))
        return
    made = make_table(name, uses, shop)
    if form == "csv":
        write_text(csv_text(made))
    else:
        cars = f", {uses.when}" if str(uses.when) else ""
        click.echo(f"{made.caption}: {uses.plan.title} ({uses.plan.head.id}{cars})\n")
        click.echo(plain_text(made, room), nl=False)
