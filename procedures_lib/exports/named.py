"""The tables of a procedure that can be had by name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.tables.parts import parts_list
from procedures_lib.tables.tools import tool_list
from procedures_lib.tables.torque import torque_table

if TYPE_CHECKING:
    from procedures_lib.manual.shop import Shop
    from procedures_lib.tables.table import Table
    from procedures_lib.tables.uses import Uses

TABLES = ("torque", "parts", "tools")


def make_table(name: str, uses: Uses, shop: Shop) -> Table:
    """Return the table with one of the names in ``TABLES``; any other is a KeyError."""
    makers = {
        "torque": lambda: torque_table(uses, shop),
        "parts": lambda: parts_list(uses),
        "tools": lambda: tool_list(uses, shop),
    }
    return makers[name]()
