"""Findings for programs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from procedures_lib.cli.folders import Folders
    from procedures_lib.cli.loading import Checked
    from procedures_lib.findings import Finding

FORMAT = 1


def report_json(checked: Checked, folders: Folders) -> dict[str, Any]:
    """Return ``{format, pages, findings}``; findings in the order of page and line.

    ``path`` is relative to the current folder and ``page`` to the folder of pages, both with
    forward slashes.
    """
    return {
        "format": FORMAT,
        "pages": len(checked.pages),
        "findings": [_finding(finding, folders) for finding in checked.findings],
    }


def _finding(finding: Finding, folders: Folders) -> dict[str, Any]:
    page = finding.place.page
    return {
        "path": Path(folders.shown(page)).as_posix(),
        "page": page,
        "line": finding.place.line,
        "level": str(finding.level),
        "check": finding.check,
        "message": finding.message,
        "hint": finding.hint,
        "variants": finding.variants,
        "related": [{"page": place.page, "line": place.line} for place in finding.related],
    }
