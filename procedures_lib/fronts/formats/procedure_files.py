"""The files that programs read: beside a procedure's page, and the schemas of all blocks."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from procedures_lib.fronts.formats.block_schema import block_schema
from procedures_lib.fronts.formats.procedure_json import value_of
from procedures_lib.fronts.formats.table_text import csv_text
from procedures_lib.fronts.tables.procedure_tables import parts_list, torque_table
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS
from procedures_lib.manual import Manual, Plan
from procedures_lib.view.uses import Uses


def write_if_other(path: Path, content: bytes) -> None:
    """Write a file and the folders that it needs, unless it has this content already."""
    if path.is_file() and path.read_bytes() == content:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


@cache
def block_schema_text(block: str) -> str:
    """Return the schema of a block as the text of its file; KeyError for no block."""
    return json.dumps(block_schema(block), ensure_ascii=False, indent=2) + "\n"


def write_schemas(folder: Path) -> list[Path]:
    """Write a file for each block into a folder, those that differ alone; return all of them."""
    paths = []
    for block in BLOCK_KINDS:
        path = folder / f"{block}.json"
        write_if_other(path, block_schema_text(block).encode())
        paths.append(path)
    return paths


SCHEMA = "schema/procedure-export.json"
"""Where the site has the JSON Schema of the procedures, below its root."""

INDEX = "procedures.json"
"""Where the site lists its procedures and their files, below its root."""

ENDINGS = {"json": ".json", "torque": "-torque.csv", "parts": "-parts.csv"}
"""What the names of a procedure's files end in, by what is in them."""


def procedure_schema_text() -> str:
    """Return the JSON Schema (2020-12) of a procedure."""
    return files(__package__).joinpath("procedure.schema.json").read_text(encoding="utf-8")


def stem_of(plan: Plan) -> str:
    """Return the path of a procedure's files below the site's root, without their endings.

    It is that of its page; where a page has several, the others have their id behind it.
    """
    page = plan.head.place.page.removesuffix(".md")
    first = next((head for head, _ in plan.content.steps), plan.head.id)
    return page if first == plan.head.id else f"{page}--{plan.head.id}"


def procedure_files(manual: Manual, uses: Uses) -> dict[str, str]:
    """Return the files of a procedure: paths below the site's root, with their texts."""
    stem = stem_of(uses.plan)
    texts = {
        "json": json_line(value_of(manual, uses)),
        "torque": csv_text(torque_table(uses, manual.shop)),
        "parts": csv_text(parts_list(uses)),
    }
    return {stem + ENDINGS[what]: text for what, text in texts.items()}


def index_text(plans: Iterable[Plan]) -> str:
    """Return the list of all procedures with their files, for programs."""
    procedures = []
    for plan in plans:
        stem = stem_of(plan)
        procedures.append(
            {
                "procedure": plan.head.id,
                "title": plan.title,
                "revision": getattr(plan.head, "revision", ""),
                "page": f"{plan.head.place.page.removesuffix('.md')}.html",
                "json": stem + ENDINGS["json"],
                "torque_csv": stem + ENDINGS["torque"],
                "parts_csv": stem + ENDINGS["parts"],
            }
        )
    return json_line({"format": 1, "schema": SCHEMA, "procedures": procedures})


def json_line(value: dict[str, Any]) -> str:
    """Return a value as JSON on one line."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False) + "\n"
