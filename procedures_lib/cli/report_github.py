"""Findings as annotations of a pull request: workflow commands, one a line.

Source of the format and its escapes: the workflow commands that GitHub documents for its runners.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.cli.report_places import Places
from procedures_lib.cli.wording import printable

if TYPE_CHECKING:
    from procedures_lib.cli.folders import Folders
    from procedures_lib.cli.loading import Checked
    from procedures_lib.findings import Finding


def report_github(checked: Checked, folders: Folders) -> str:
    """Return a line for each finding; "" for none. No text of a page can begin a command."""
    places = Places.of(folders)
    return "".join(f"{_annotation(finding, places)}\n" for finding in checked.findings)


def _annotation(finding: Finding, places: Places) -> str:
    variants = f" [{finding.variants}]" if finding.variants else ""
    said = [printable(finding.message + variants), printable(finding.hint)]
    properties = {
        "file": printable(places.path(finding.place.page)),
        "line": str(finding.place.line),
        "title": finding.check,
    }
    listed = ",".join(f"{name}={_property(value)}" for name, value in properties.items())
    return f"::{finding.level} {listed}::{_data(chr(10).join(filter(None, said)))}"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
