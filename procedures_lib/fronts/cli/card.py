"""``procedures card``: the job card of a procedure, for the bench."""

from __future__ import annotations

from pathlib import Path

import click

from procedures_lib.fronts.cli.arguments import (
    Folders,
    PathWord,
    Word,
    relative,
    with_folders,
    with_when,
)
from procedures_lib.fronts.cli.publishing.disk import arriving
from procedures_lib.fronts.cli.selection import select
from procedures_lib.fronts.cli.terminal import EXIT_CODES, write_bytes


@click.command(epilog=EXIT_CODES)
@click.argument("procedure", type=Word())
@with_when
@click.option(
    "--size",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="The sheets to print on.",
)
@click.option(
    "-o",
    "--output",
    metavar="FILE",
    type=PathWord(path_type=Path, dir_okay=False, allow_dash=True),
    help="Where to write it; `-` for the standard output.  [default: `PROCEDURE.pdf` here]",
)
@with_folders
def card(
    procedure: str, when: tuple[str, ...], size: str, output: Path | None, folders: Folders
) -> int:
    """Write the job card of a procedure as a PDF file.

    The card has the hazards, the kit to check in, the tools, every step with a box to tick, the
    torques with room for what was reached, the orders drawn, the last checks and the hand-over.
    With `--when` it is for some cars only: the steps and torques of others are not on it. With
    `address` in the shop's file a QR code leads back to the page.

    A card drawn from pages with errors says so at its head; it is written, with a note on stderr
    and exit code 1.
    """
    chosen = select(folders, procedure, when)
    cars, behind = chosen.cars_of_kit, chosen.behind()

    from procedures_lib.fronts.paper import MISSING, card_pdf, signs_lacking  # noqa: PLC0415
    from procedures_lib.fronts.paper.card import make_card  # noqa: PLC0415 - with the PDF library

    made = make_card(chosen.manual, chosen.plan, cars, faulty=bool(behind.errors))
    _write(card_pdf(made, size), output or Path(f"{procedure}.pdf"))
    if not made.head.address:
        _note(f"no QR code: {relative(folders.shop)} has no `address` under [shop].")
    if lacking := signs_lacking(made):
        _note(f"the font of the card lacks {len(lacking)} signs, printed as {MISSING}: {lacking}")
    return behind.warn(folders, "this card")


def _write(pdf: bytes, output: Path) -> None:
    """Write the file at one stroke, so that no half card is ever printed."""
    if str(output) == "-":
        write_bytes(pdf)
        return
    with arriving(output, pdf) as made:
        made.replace(output)
    click.echo(relative(output))


def _note(text: str) -> None:
    click.echo(f"Note: {text}", err=True)
