"""Findings for people: one block each, and a line that counts them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from procedures_lib.cli.folders import SHOP_PAGE, relative
from procedures_lib.cli.wording import counted, printable
from procedures_lib.findings import Level

if TYPE_CHECKING:
    from procedures_lib.cli.folders import Folders
    from procedures_lib.cli.loading import Checked
    from procedures_lib.findings import Finding

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
