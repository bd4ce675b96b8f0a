"""``procedures export``: a whole procedure, for a program."""

from __future__ import annotations

import click

from procedures_lib.fronts.cli.arguments import Folders, Word, with_folders, with_format, with_when
from procedures_lib.fronts.cli.selection import select
from procedures_lib.fronts.cli.terminal import EXIT_CODES, write_json
from procedures_lib.fronts.formats.how_to import how_to
from procedures_lib.fronts.formats.procedure_json import procedure_json


@click.command(epilog=EXIT_CODES)
@click.argument("procedure", type=Word())
@with_when
@with_format(
    "json",
    "howto",
    about="`json` is all that the page says, as the schema beside the site's pages describes it; "
    "`howto` is the schema.org HowTo of the page's head, for every car.",
)
@with_folders
def export(procedure: str, when: tuple[str, ...], form: str, folders: Folders) -> int:
    """Print a whole procedure for a program: steps, joints with exact numbers, parts and tools.

    The tables alone, as text or CSV, come from `procedures table`. What is drawn from pages with
    errors is printed, with a note on stderr and exit code 1.
    """
    if form == "howto" and when:
        raise click.UsageError("`--when` and `--format howto` do not go together: the HowTo of a "
                               "page is for every car.")  # fmt: skip
    chosen = select(folders, procedure, when)
    manual, plan = chosen.manual, chosen.plan
    value = how_to(manual, plan) if form == "howto" else procedure_json(manual, plan, chosen.cars)
    write_json(value)
    return chosen.behind().warn(folders, "this")
