"""The files beside a procedure's page that programs read: JSON, and CSV of its tables."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import TYPE_CHECKING

from procedures_lib.exports.csv_text import csv_text
from procedures_lib.exports.procedure_json import value_of
from procedures_lib.tables.parts import parts_list
from procedures_lib.tables.torque import torque_table

if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import Any

    from procedures_lib.manual import Manual, Plan
    from procedures_lib.tables.uses import Uses

SCHEMA = "schema/procedure-export.json"
"""Where the site has the JSON Schema of the procedures, below its root."""

INDEX = "procedures.json"
"""Where the site lists its procedures and their files, below its root."""

ENDINGS = {"json": ".json", "torque": "-torque.csv", "parts": "-parts.csv"}
"""What the names of a procedure's files end in, by what is in them."""


def schema_text() -> str:
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
