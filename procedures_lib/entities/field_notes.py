"""What each field of a block says, in a line, from ``field_notes.toml``."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from procedures_lib.entities.base import Model

ANY = "any"


@cache
def field_notes() -> dict[str, dict[str, str]]:
    """Return the notes by model and written name of the field; ``any`` holds what all share."""
    text = Path(__file__).with_name("field_notes.toml").read_text("utf-8")
    found: dict[str, dict[str, str]] = tomllib.loads(text)
    return found


def note_on(model: type[Model], field: str) -> str:
    """Return what a field says, by its written name; KeyError when nothing is written about it."""
    own = field_notes().get(model.__name__, {})
    return own[field] if field in own else field_notes()[ANY][field]
