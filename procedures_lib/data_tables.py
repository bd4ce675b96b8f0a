"""The library's own data: CSV, TOML and text files that stand beside the modules that read them."""

from __future__ import annotations

import csv
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def csv_rows(package: str, name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of a CSV file of a package, each by the names of its columns."""
    return tuple(csv.DictReader(_text(package, name).splitlines()))


def toml_table(package: str, name: str) -> dict[str, Any]:
    """Return what a TOML file of a package holds, its lists of values as tuples."""
    return {key: _frozen(value) for key, value in tomllib.loads(_text(package, name)).items()}


def text_lines(package: str, name: str) -> list[str]:
    """Return the lines of a text file of a package."""
    return _text(package, name).splitlines()


def _frozen(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _frozen(inner) for key, inner in value.items()}
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def _text(package: str, name: str) -> str:
    return files(package).joinpath(name).read_text(encoding="utf-8")
