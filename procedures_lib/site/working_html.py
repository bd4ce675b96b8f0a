"""How a joint is worked, beside its stages in the torque table: each stage all round first."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from procedures_lib.site.html import element
from procedures_lib.tables.orders import stage_major_text
from procedures_lib.tables.torque import TORQUE_UNITS, joints

if TYPE_CHECKING:
    from procedures_lib.tables.table import Column, Row
    from procedures_lib.tables.uses import Uses


class Workings:
    """The words for each joint of a torque table, to stand below its stages in N·m."""

    def __init__(self, uses: Uses) -> None:
        self._said = {f"fastener:{each.id}": stage_major_text(each) for each in joints(uses)}

    def __call__(self, row: Row, column: Column) -> str:
        """Return what to add to a cell, "" for nothing."""
        said = self._said.get(row.anchor, "") if column.key == TORQUE_UNITS[0] else ""
        return f" {element('small', escape(said))}" if said else ""
