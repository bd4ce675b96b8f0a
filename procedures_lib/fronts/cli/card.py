"""``procedures card``: the job card of a procedure, for the bench."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from procedures_lib.fronts.cli.arguments import find_plan, read_when, with_when
from procedures_lib.fronts.cli.loading import (
    Folders,
    PathWord,
    Word,
    read_manual,
    relative,
    with_folders,
)
from procedures_lib.fronts.cli.report import errors_behind, warn_of
from procedures_lib.fronts.cli.terminal import EXIT_CODES, Refused
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import possible
from procedures_lib.manual import Plan
from procedures_lib.view.uses import options_of


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
    manual, shop_findings = read_manual(folders)
    plan = find_plan(procedure, manual)
    cars = _cars(when, plan)
    behind = errors_behind(plan, manual, shop_findings)

    from procedures_lib.fronts.paper import MISSING, card_pdf, signs_lacking  # noqa: PLC0415
    from procedures_lib.fronts.paper.card import make_card  # noqa: PLC0415 - with the PDF library

    made = make_card(manual, plan, cars, faulty=bool(behind.errors))
    _write(card_pdf(made, size), output or Path(f"{procedure}.pdf"))
    if not made.head.address:
        _note(f"no QR code: {relative(folders.shop)} has no `address` under [shop].")
    if lacking := signs_lacking(made):
        _note(f"the font of the card lacks {len(lacking)} signs, printed as {MISSING}: {lacking}")
    return warn_of(behind, folders, "this card")


def _cars(when: tuple[str, ...], plan: Plan) -> Condition:
    """The cars asked about, among those that the kit is for."""
    asked = read_when(when, plan)
    fits = plan.kit.fits.when if plan.kit else ALWAYS
    if not possible(asked & fits, options_of(plan)):
        raise Refused(f"--when: the kit is only for cars with `{fits}`")
    return asked & fits


def _write(pdf: bytes, output: Path) -> None:
    """Write the file at one stroke, so that no half card is ever printed."""
    if str(output) == "-":
        sys.stdout.flush()
        sys.stdout.buffer.write(pdf)
        sys.stdout.buffer.flush()
        return
    arriving = output.with_name(f".{output.name}.arriving")
    try:
        arriving.write_bytes(pdf)
        os.replace(arriving, output)
    finally:
        arriving.unlink(missing_ok=True)
    click.echo(relative(output))


def _note(text: str) -> None:
    click.echo(f"Note: {text}", err=True)
