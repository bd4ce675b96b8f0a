"""Reads the built-in hazards from ``builtin_hazards.toml``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True)
class BuiltinHazard:
    """A hazard of the library.

    ``signal`` is the signal word after ANSI Z535.6; ``carries`` what a connection carries when
    opening it calls for the hazard, ``verbs`` and ``part_kinds`` likewise; ``made_safe_by`` the
    action that makes it safe ("" where there is none, "declared" where the page says);
    ``licensed`` work is left to certified people.
    """

    id: str
    name: str
    signal: str
    harm: str
    avoid: str
    source: str
    carries: tuple[str, ...] = ()
    verbs: tuple[str, ...] = ()
    part_kinds: tuple[str, ...] = ()
    made_safe_by: str = ""
    licensed: bool = False


def _read() -> dict[str, BuiltinHazard]:
    text = files(__package__).joinpath("builtin_hazards.toml").read_text(encoding="utf-8")
    hazards = {}
    for name, table in tomllib.loads(text).items():
        values: dict[str, Any] = {
            key.replace("-", "_"): tuple(value) if isinstance(value, list) else value
            for key, value in table.items()
        }
        hazards[name] = BuiltinHazard(id=name, **values)
    return hazards


BUILTIN_HAZARDS = _read()
