"""The schemas of all blocks as files, ``schema/BLOCK.json``."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from procedures_lib.exports.schema import block_schema
from procedures_lib.exports.writing import write_if_other
from procedures_lib.reading.block_kinds import BLOCK_KINDS

if TYPE_CHECKING:
    from pathlib import Path


def schema_text(block: str) -> str:
    """Return the schema of a block as the text of its file; KeyError for no block."""
    return json.dumps(block_schema(block), ensure_ascii=False, indent=2) + "\n"


def write_schemas(folder: Path) -> list[Path]:
    """Write a file for each block into a folder, those that differ alone; return all of them."""
    paths = []
    for block in BLOCK_KINDS:
        path = folder / f"{block}.json"
        write_if_other(path, schema_text(block).encode())
        paths.append(path)
    return paths
