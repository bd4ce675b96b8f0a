"""The shop's file: its TOML tables, each value with the line it is found on."""

from __future__ import annotations

import datetime
import re
import tomllib
from pathlib import Path
from typing import Any, get_args

from procedures_lib.findings import SlipError
from procedures_lib.language.entities.field_reader import FieldReader
from procedures_lib.language.reading.page import Scalar, Tree
from procedures_lib.language.reading.page_text import has_merge_mark

_AT_LINE = re.compile(r"at line (\d+)")
_TABLE = re.compile(r"""\s*\[{1,2}\s*["']?([\w-]+)["']?\s*\]""")
_KEY = re.compile(r"""\s*(?:["']?([\w-]+)["']?\s*\.\s*)?["']?([\w-]+)["']?\s*=""")
_MOST_LEVELS = 8
_YAML_KEY = re.compile(r"`([\w-]+): …`")


def read_tables(path: Path) -> Tables:
    """Read a TOML file; SlipError ``unreadable-page`` with the line where it can't be read."""
    raw, line = b"", 1
    try:
        if not path.is_file():
            raise OSError("it is no file")
        raw = path.read_bytes()
        text = raw.decode("utf-8-sig")
        return Tables(tomllib.loads(text), text)
    except OSError as error:
        said, hint = f"can't be read: {error.strerror or error}", "look at its name and its rights"
    except RecursionError:
        said, hint = "is nested too deep", 'write one `key = "value"` a line'
    except ValueError as error:
        line = _line_of(error, raw)
        said, hint = f"is not TOML: {error}", 'write `key = "value"` there'
        if has_merge_mark(_line_at(line, raw)):
            said, hint = "holds the mark of a merge", "write one of the two versions, without marks"
    raise SlipError("unreadable-page", f"{path.name} {said}", hint, line)


def _line_at(line: int, raw: bytes) -> str:
    lines = raw.decode("utf-8", "replace").splitlines()
    return lines[line - 1] if line <= len(lines) else ""


def _line_of(error: ValueError, raw: bytes) -> int:
    """The line on which the reading stopped."""
    if isinstance(error, UnicodeDecodeError):
        return raw.count(b"\n", 0, error.start) + 1
    if match := _AT_LINE.search(str(error)):
        return int(match[1])
    return raw.rstrip().count(b"\n") + 1 if "end of document" in str(error) else 1


class Tables:
    """The tables of a TOML text, each value with the line it is found on."""

    def __init__(self, data: dict[str, Any], text: str) -> None:
        self._lists = {name for name, value in data.items() if isinstance(value, list)}
        self._tables = {
            name: value if isinstance(value, list) else [value] for name, value in data.items()
        }
        self._lines: dict[tuple[str, int, str], int] = {}
        seen: dict[str, int] = {}
        table = ""
        for number, line in enumerate(text.split("\n"), start=1):
            if match := _TABLE.match(line):
                table = match[1]
                seen[table] = seen.get(table, -1) + 1
                self._lines[table, seen[table], ""] = number
            elif match := _KEY.match(line):
                outer, key = match.groups()
                if not table:
                    self._lines.setdefault((outer or key, 0, ""), number)
                self._lines.setdefault((table or outer or "", seen.get(table, 0), key), number)

    @property
    def names(self) -> set[str]:
        """The names of the outermost tables and keys."""
        return set(self._tables)

    def count(self, name: str) -> int:
        """How many tables of that name there are."""
        return len(self._tables.get(name, []))

    def is_list(self, name: str) -> bool:
        """Whether the tables of that name are written as a list, `[[name]]`."""
        return name in self._lists

    def is_table(self, name: str) -> bool:
        """Whether a table stands under that name, and not a value."""
        return isinstance(self._tables.get(name, [None])[0], dict)

    def raw(self, name: str, n: int = 0) -> dict[str, Any]:
        """The table as TOML has it; empty where a value stands in its place, or nothing."""
        value = self._tables[name][n] if n < self.count(name) else None
        return value if isinstance(value, dict) else {}

    def line(self, name: str, n: int = 0, key: str = "") -> int:
        """The line of a table or of one of its keys; 1 when it can't be found."""
        return self._lines.get((name, n, key)) or self._lines.get((name, n, ""), 1)

    def table(self, name: str, n: int = 0) -> Tree | None:
        """The table as nested text."""
        if n >= self.count(name):
            return None
        value, line = self._tables[name][n], self.line(name, n)
        if not isinstance(value, dict):
            return _tree(value, line)
        lines = {key: self.line(name, n, key) for key in value}
        return {Scalar(key, lines[key]): _tree(inner, lines[key]) for key, inner in value.items()}


def _tree(value: Any, line: int, levels: int = _MOST_LEVELS) -> Tree:
    """Return a value as nested text; what lies deeper than any field is left out."""
    if isinstance(value, dict | list) and not levels:
        return Scalar("…", line)
    if isinstance(value, dict):
        return {Scalar(key, line): _tree(inner, line, levels - 1) for key, inner in value.items()}
    if isinstance(value, list):
        return [_tree(item, line, levels - 1) for item in value]
    if isinstance(value, bool):
        return Scalar(str(value).lower(), line)
    # A whole number may have more digits than Python turns into text.
    short = isinstance(value, int) and abs(value) < 10**12
    return Scalar(hex(value) if isinstance(value, int) and not short else str(value), line)


class TomlReader(FieldReader):
    """Reads the tables of a TOML file; its hints are in TOML, not in the YAML of pages."""

    def find(self, line: int, check: str, message: str, hint: str = "") -> None:
        """Note a finding, with what to write in the form of this file."""
        hint = _YAML_KEY.sub(r'a line `\1 = "…"`', hint)
        hint = hint.replace("after the colon, or drop the key", "between the quotes")
        super().find(line, check, message, hint)


def takes(annotation: Any, value: Any) -> bool:
    """Tell whether a field of this type is there for a value as TOML has typed it.

    Texts, lists and tables are left to whoever reads the field; so is a date with a time.
    """
    if isinstance(value, bool):
        return _holds(annotation, bool)
    if isinstance(value, datetime.date):
        return _holds(annotation, datetime.date)
    return isinstance(value, str | list | dict)


def _holds(annotation: Any, kind: type) -> bool:
    return annotation is kind or any(_holds(part, kind) for part in get_args(annotation))


def wanted_by(annotation: Any) -> tuple[str, str]:
    """What a field wants, and how that is written."""
    if _holds(annotation, bool):
        return "true or false", "true"
    if _holds(annotation, datetime.date):
        return "a date", "2026-09-14"
    return "a text", '"…"'


def kind_of(value: Any) -> str:
    """What a value is, in words."""
    if isinstance(value, bool):
        return "true or false"
    return "a number" if isinstance(value, int | float) else "a date or time"
