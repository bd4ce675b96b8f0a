"""The errors on the pages that something about a procedure is drawn from, and a note about them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from procedures_lib.checks import check_manual
from procedures_lib.cli.exits import ExitCode
from procedures_lib.cli.folders import SHOP_PAGE
from procedures_lib.cli.loading import Checked
from procedures_lib.cli.report import summary

if TYPE_CHECKING:
    from procedures_lib.cli.folders import Folders
    from procedures_lib.findings import Finding
    from procedures_lib.manual import Manual, Plan


def errors_behind(plan: Plan, manual: Manual, shop: tuple[Finding, ...]) -> Checked:
    """Return the errors on the pages that a procedure is drawn from, and in the shop's file."""
    sources = (plan.head, plan.vehicle, plan.kit)
    pages = {source.place.page for source in sources if source}
    pages |= {step.page for step in plan.steps}
    checked = Checked(tuple(sorted(pages)), tuple(check_manual(manual, sorted(pages))))
    return Checked(checked.pages, (*shop, *checked.only(pages).findings))


def warn_of(checked: Checked, folders: Folders, drawn: str = "this table") -> ExitCode:
    """Print how many errors there are behind what was drawn; the exit code that goes with it."""
    if not checked.errors:
        return ExitCode.CLEAN
    errors = Checked(checked.pages, checked.errors)
    files = {finding.place.page for finding in errors.findings}
    named = " ".join(folders.shown(page) for page in sorted(files - {SHOP_PAGE}))
    named = f"{named} {folders.shown(SHOP_PAGE)}".strip() if SHOP_PAGE in files else named
    click.echo(
        f"\nNote: {summary(errors, folders)} that {drawn} is drawn from; "
        f"it may lack a row.\nSee `procedures check {named}`.",
        err=True,
    )
    return ExitCode.FINDINGS
