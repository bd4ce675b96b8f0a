"""Marks in words at steps and torque-table rows that have changed since a revision."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

from procedures_lib.fronts.site.html import element
from procedures_lib.fronts.tables.table import Column, Row
from procedures_lib.manual import Manual

if TYPE_CHECKING:
    from sphinx.application import Sphinx


SETTING = "procedures_changes"
"""What a build is told: by procedure, the words for ``steps`` and ``joints``."""

_KEPT = ("changed",)


def add_changed(app: Sphinx) -> None:
    """Register the setting; a page is read again when its own marks have changed, not with it."""
    app.add_config_value(SETTING, {}, "", dict)


def keep_marks(manual: Manual, app: Sphinx) -> None:
    """Keep what this build was told beside the manual that it renders."""
    marks = getattr(app.config, SETTING)
    manual.once(_KEPT, lambda: marks)


def marks_said(manual: Manual, procedure: str) -> str:
    """Return all marks of a procedure as a text to compare, "" for none."""
    found = marks_in(manual).get(procedure)
    return repr(found) if found else ""


def marks_in(manual: Manual) -> dict[str, Any]:
    """Return the marks that are kept beside a manual."""
    none: dict[str, Any] = {}
    return manual.once(_KEPT, lambda: none)


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
