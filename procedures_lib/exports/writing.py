"""Writes the files of a site: one that is so already keeps its time."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


def write_if_other(path: Path, content: bytes) -> None:
    """Write a file and the folders that it needs, unless it has this content already."""
    if path.is_file() and path.read_bytes() == content:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
