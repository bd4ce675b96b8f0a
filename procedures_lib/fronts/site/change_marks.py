"""What a build is told of other revisions: marks in words at what has changed since one of them,
and where those that are no longer in force are kept.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

from procedures_lib.fronts.site.html import element
from procedures_lib.fronts.site.nodes import mark
from procedures_lib.fronts.tables.table import Column, Row
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import SUPERSEDED

if TYPE_CHECKING:
    from sphinx.application import Sphinx


SETTING = "procedures_changes"
"""What a build is told: by procedure, the words for ``steps`` and ``joints``."""

EARLIER = "procedures_earlier"
"""By procedure, its earlier revisions, each with the path of its page from the site's root."""

_KEPT = ("changed",)
_KEPT_EARLIER = ("earlier",)
_MOST_NAMED = 4


def add_changed(app: Sphinx) -> None:
    """Register the settings; a page is read again when its own part of them has changed."""
    app.add_config_value(SETTING, {}, "", dict)
    app.add_config_value(EARLIER, {}, "", dict)


def keep_marks(manual: Manual, app: Sphinx) -> None:
    """Keep what this build was told beside the manual that it renders."""
    marks, earlier = getattr(app.config, SETTING), getattr(app.config, EARLIER)
    manual.once(_KEPT, lambda: marks)
    manual.once(_KEPT_EARLIER, lambda: earlier)


def marks_said(manual: Manual, procedure: str) -> str:
    """Return all marks of a procedure as a text to compare, "" for none."""
    found = marks_in(manual).get(procedure)
    return repr(found) if found else ""


def marks_in(manual: Manual) -> dict[str, Any]:
    """Return the marks that are kept beside a manual."""
    none: dict[str, Any] = {}
    return manual.once(_KEPT, lambda: none)


def _earlier(manual: Manual, procedure: str) -> list[tuple[str, str]]:
    none: dict[str, list[tuple[str, str]]] = {}
    return manual.once(_KEPT_EARLIER, lambda: none).get(procedure, [])


def earlier_said(manual: Manual, procedure: str) -> str:
    """Return the earlier revisions of a procedure as a text to compare, "" for none."""
    found = _earlier(manual, procedure)
    return repr(found) if found else ""


def earlier_html(manual: Manual, procedure: str) -> str:
    """Return links to the earlier revisions of a procedure that the site keeps, "" for none."""
    found = _earlier(manual, procedure)
    if not found:
        return ""
    pages = [(f"revision {revision}", page) for revision, page in found[:_MOST_NAMED]]
    if len(found) > _MOST_NAMED:
        pages.append(("all", f"{SUPERSEDED}index.html"))
    links = (
        element("a", escape(text), href=mark(page.removesuffix(".html"), ""))
        for text, page in pages
    )
    return element("p", f"Earlier, not to work by: {', '.join(links)}", class_="earlier")


class ChangeMarks:
    """The marks of one procedure."""

    def __init__(self, manual: Manual, procedure: str) -> None:
        found = marks_in(manual).get(procedure, {})
        self._steps: dict[str, str] = found.get("steps", {})
        self._joints: dict[str, str] = found.get("joints", {})

    def step(self, number: int) -> str:
        """Return the mark of a step as HTML, "" for none."""
        return _mark(self._steps.get(str(number), ""), "p")

    def row(self, row: Row, column: Column) -> str:
        """Return the mark of a row of the torque table, in the cell of its fastener."""
        if column.key != "fastener":
            return ""
        return _mark(self._joints.get(row.anchor.removeprefix("fastener:"), ""), "span")


def _mark(words: str, name: str) -> str:
    return f" {element(name, escape(words), class_='changed')}" if words else ""
