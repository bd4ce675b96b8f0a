"""Manuals on a desk, for tests that ask without the protocol."""

from __future__ import annotations

from pathlib import Path

from procedures_lib.fronts.editor.completion import Choice, completions
from procedures_lib.fronts.editor.desk import Desk, ManualFolders

PROJECT = Path(__file__).resolve().parents[2]


def desk_of(folder: Path) -> Desk:
    """Return the manual in a folder, with no page open."""
    return Desk(ManualFolders(folder / "docs", folder / "conf" / "shop.toml"))


def place_in(text: str, found: str, within: int = 0) -> tuple[int, int]:
    """Return line and column of what first stands in a text, and so many characters further."""
    at = text.index(found) + within
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at) - 1


def completed(desk: Desk, page: str, text: str) -> list[Choice]:
    """Return what can stand at the sign ``¦`` of a text, which is taken out."""
    line, column = place_in(text, "¦")
    desk.put(page, text.replace("¦", "", 1))
    return completions(desk, page, line, column)
