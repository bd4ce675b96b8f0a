"""Reads the rows of check values beside the tests."""

from __future__ import annotations

import csv
from pathlib import Path


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a CSV file in this folder."""
    text = Path(__file__).with_name(name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def label(row: dict[str, str]) -> str:
    """What pytest calls the case of a row."""
    return " ".join(list(row.values())[:2])
