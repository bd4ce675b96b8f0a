"""``procedures export``: a whole procedure, for a program."""

from __future__ import annotations

import click

from procedures_lib.fronts.cli.arguments import find_plan, read_when, with_when
from procedures_lib.fronts.cli.loading import Folders, Word, read_manual, with_folders
from procedures_lib.fronts.cli.report import errors_behind, warn_of
from procedures_lib.fronts.cli.terminal import EXIT_CODES, write_json
from procedures_lib.fronts.formats.how_to import how_to
from procedures_lib.fronts.formats.procedure_json import procedure_json


@click.command(epilog=EXIT_CODES)
@click.argument("procedure", type=Word())
@with_when
@click.option(
    "--format",
    "form",
    type=click.Choice(["json", "howto"]),
    default="json",
    show_default=True,
    help="`json` is all that the page says, as the schema beside the site's pages describes it; "
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
    manual, shop_findings = read_manual(folders)
    plan = find_plan(procedure, manual)
    cars = read_when(when, plan)
    write_json(how_to(manual, plan) if form == "howto" else procedure_json(manual, plan, cars))
    return warn_of(errors_behind(plan, manual, shop_findings), folders, "this")
