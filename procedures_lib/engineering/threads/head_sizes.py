"""The size of a head that its thread calls for: hexagons, and hexagons inside a socket head."""

from __future__ import annotations

import re

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.threads.designation import Thread

_HEAD = re.compile(r"(socket )?hex ([0-9]+) mm")
_BOLTS = frozenset({"bolt", "screw"})


def standard_of_head(thread: Thread, kind: str, head: str) -> str:
    """Return the standard by which a metric thread has this head; "" where none says so.

    ``hex 13 mm`` on a bolt or nut M8 is ISO 4014 or ISO 4032, ``socket hex 6 mm`` on a screw M8 ISO
    4762. A source may well print another: a hexagon of 12 mm on M8 is no slip.
    """
    match = _HEAD.fullmatch(head.strip())
    if match is None or thread.family != "metric" or kind not in _BOLTS | {"nut"}:
        return ""
    if match[1]:
        return "ISO 4762" if kind in _BOLTS and _size(thread, "socket_hex") == match[2] else ""
    standard = "ISO 4032" if kind == "nut" else "ISO 4014"
    return standard if _size(thread, "hex") == match[2] else ""


def _size(thread: Thread, column: str) -> str:
    rows = csv_rows(__package__, "head_sizes.csv")
    diameter = float(thread.diameter)
    return next((row[column] for row in rows if float(row["diameter"]) == diameter), "")
