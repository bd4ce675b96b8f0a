"""What stands behind a joint's torque, folded away in its row of the torque table."""

from __future__ import annotations

from dataclasses import replace
from html import escape
from typing import TYPE_CHECKING

from procedures_lib.site.html import element, facts_html
from procedures_lib.tables.joint_notes import JointNote, joint_note
from procedures_lib.tables.tooling import wrench_rows
from procedures_lib.tables.torque import joints

if TYPE_CHECKING:
    from procedures_lib.manual.shop import Shop
    from procedures_lib.tables.table import Column, Row
    from procedures_lib.tables.uses import Uses


class JointNotes:
    """The notes of a torque table's joints, each to stand in the cell of its thread."""

    def __init__(self, uses: Uses, shop: Shop) -> None:
        self._notes = {
            f"fastener:{fastener.id}": replace(
                note, rows=(*note.rows, *wrench_rows(fastener, shop))
            )
            for fastener in joints(uses)
            if (note := joint_note(fastener)) is not None
        }

    def __call__(self, row: Row, column: Column) -> str:
        """Return what to add to the cell of a row: its note, or nothing."""
        note = self._notes.get(row.anchor) if column.key == "thread" else None
        return joint_html(note) if note else ""


def joint_html(note: JointNote) -> str:
    """Return a note as one line that unfolds, without any script."""
    summary = element("summary", escape(note.summary))
    return element("details", summary + facts_html(note.rows, "joint-facts"), class_="joint-note")
