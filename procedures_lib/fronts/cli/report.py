"""Findings for people, and the errors that something drawn from a page leans on."""

from __future__ import annotations

import click

from procedures_lib.findings import Finding, Level
from procedures_lib.fronts.cli.loading import SHOP_PAGE, Checked, Folders, relative
from procedures_lib.fronts.cli.terminal import ExitCode, counted, printable
from procedures_lib.judging.checks import check_manual
from procedures_lib.manual import Manual, Plan

_COLOURS = {Level.ERROR: "red", Level.WARNING: "yellow"}


def report(checked: Checked, folders: Folders) -> str:
    """Return all findings and the line that counts them, coloured.

    Each begins with ``path:line:``, the path relative to the current folder.
    """
    blocks = [finding_text(finding, folders) for finding in checked.findings]
    return "\n".join([*blocks, summary(checked, folders)])


def finding_text(finding: Finding, folders: Folders) -> str:
    """Return one finding: where and what, its hint, and the places related to it."""
    where = f"{printable(folders.shown(finding.place.page))}:{finding.place.line}"
    level = click.style(f"{finding.level}:", fg=_COLOURS[finding.level], bold=True)
    variants = f" [{finding.variants}]" if finding.variants else ""
    check = click.style(finding.check, bold=True)
    lines = [f"{where}: {level} {check}: {printable(finding.message + variants)}"]
    if finding.hint:
        lines.append(f"    {printable(finding.hint)}")
    related = ((printable(folders.shown(place.page)), place.line) for place in finding.related)
    lines += [f"    see {path}:{line}" for path, line in related]
    return "\n".join(lines)


def summary(checked: Checked, folders: Folders) -> str:
    """Return "12 pages, no findings" or "2 errors, 1 warning in 3 of 12 pages"."""
    total = len(checked.pages)
    if not checked.findings:
        return f"{counted(total, 'page')}, no findings"
    errors = len(checked.errors)
    warnings = len(checked.findings) - errors
    counts = [(errors, "error"), (warnings, "warning")]
    numbers = ", ".join(counted(number, noun) for number, noun in counts if number)
    return f"{numbers} in {' and '.join(_where(checked, folders))}"


def _where(checked: Checked, folders: Folders) -> list[str]:
    files = {finding.place.page for finding in checked.findings}
    places = [relative(folders.shop)] if SHOP_PAGE in files else []
    bad = len(files - {SHOP_PAGE})
    return [*places, f"{bad} of {counted(len(checked.pages), 'page')}"] if bad else places


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
