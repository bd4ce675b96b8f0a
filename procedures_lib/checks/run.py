"""Runs the checks over one page or all of them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from procedures_lib.checks.catalogue import CATALOGUE
from procedures_lib.checks.registry import CHECKS
from procedures_lib.findings import Level
from procedures_lib.manual.uncollected import uncollected

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from procedures_lib.findings import Finding
    from procedures_lib.manual import Manual


def check_page(manual: Manual, page: str) -> list[Finding]:
    """Return all findings of one page, sorted by line, each once."""
    found = {finding for check in CHECKS for finding in check(manual, page)}
    return sorted({_levelled(finding) for finding in found})


def _levelled(finding: Finding) -> Finding:
    """A finding of a check that only warns is a warning; any other is what its check made it."""
    if CATALOGUE[finding.check].level is Level.WARNING:
        return replace(finding, level=Level.WARNING)
    return finding


def check_manual(
    manual: Manual, pages: Iterable[str] | None = None, progress: Callable[[], None] = lambda: None
) -> list[Finding]:
    """Return the findings of these pages, or of all, sorted by page and line."""
    found: set[Finding] = set()
    with uncollected():
        for page in manual.contents if pages is None else pages:
            found.update(check_page(manual, page))
            progress()
    return sorted(found)
