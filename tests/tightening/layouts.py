"""Positions of fasteners for tests: circles, rows, heads; names are "1", "2", … as numbered."""

from __future__ import annotations

import csv
import math
from pathlib import Path

Positions = dict[str, tuple[float, float]]

_TABLE = Path(__file__).with_name("pcc1_sequences.csv")


def circle(count: int, radius: float = 50, turned: float = 0) -> Positions:
    """Positions clockwise from the top, in mm; ``turned`` in radians."""
    turns = {str(n + 1): 2 * math.pi * n / count + turned for n in range(count)}
    return {
        name: (radius * math.sin(turn), radius * math.cos(turn)) for name, turn in turns.items()
    }


def row(count: int, pitch: float = 80) -> Positions:
    """Positions from left to right."""
    return {str(n + 1): (pitch * n, 0.0) for n in range(count)}


def two_rows(columns: int, pitch: float = 100, apart: float = 90) -> Positions:
    """The upper row from left to right, then the lower row from left to right."""
    upper = {str(n + 1): (pitch * n, apart) for n in range(columns)}
    lower = {str(columns + n + 1): (pitch * n, 0.0) for n in range(columns)}
    return {**upper, **lower}


def words(order: str) -> tuple[str, ...]:
    """The names of an order that is written with spaces."""
    return tuple(order.split())


def star_table() -> dict[int, tuple[str, ...]]:
    """The legacy cross patterns of ASME PCC-1 by count."""
    with _TABLE.open(encoding="utf-8") as file:
        return {int(line["bolts"]): words(line["order"]) for line in csv.DictReader(file)}
