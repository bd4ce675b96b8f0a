"""Runs the checks over one page or all of them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from procedures_lib.checks.catalogue import CATALOGUE
from procedures_lib.checks.registry import CHECKS, OF_FOLDER, OF_POINTERS
from procedures_lib.findings import Level
from procedures_lib.manual.uncollected import uncollected

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from procedures_lib.findings import Finding
    from procedures_lib.manual import Manual


def check_page(manual: Manual, page: str) -> list[Finding]:
    """Return all findings of one page, sorted by line, each once."""
    whole = [finding for finding in check_whole(manual) if finding.place.page == page]
    return sorted({*check_alone(manual, page), *whole})


def check_alone(manual: Manual, page: str) -> list[Finding]:
    """Return what the checks find that look at one page and what it leans on."""
    found = {finding for check in CHECKS for finding in check(manual, page)}
    return sorted({_levelled(finding) for finding in found})


def check_whole(manual: Manual) -> list[Finding]:
    """Return what the checks find that look at all pages, and at the files beside them.

    Of a page they ask little, so that they can be run again after every change.
    """
    return manual.once(("whole",), lambda: _check_whole(manual))


def _check_whole(manual: Manual) -> list[Finding]:
    found = {finding for check in OF_FOLDER for finding in check(manual)}
    for page in manual.contents:
        found.update(finding for check in OF_POINTERS for finding in check(manual, page))
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
    chosen = None if pages is None else frozenset(pages)
    with uncollected():
        found = {
            finding
            for finding in check_whole(manual)
            if chosen is None or finding.place.page in chosen
        }
        for page in manual.contents if chosen is None else sorted(chosen):
            found.update(check_alone(manual, page))
            progress()
    return sorted(found)
