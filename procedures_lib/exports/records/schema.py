"""The JSON Schema of a record file, published with the site."""

from __future__ import annotations

from importlib.resources import files

RECORD_SCHEMA = "schema/record.json"
"""Where the site has it, below its root."""


def record_schema_text() -> str:
    """Return the JSON Schema (2020-12) of a record."""
    return files(__package__).joinpath("record.schema.json").read_text(encoding="utf-8")
