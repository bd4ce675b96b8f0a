"""The options above the body of a text block: ``:key: value`` lines, or YAML between ``---``."""

from __future__ import annotations

import re
from typing import NamedTuple

_OPTION = re.compile(r"\s*:(?!:)([^\s:][^:]*):(?:\s+(.*))?$")


class Split(NamedTuple):
    """A block's content taken apart; the offsets count lines from the content's first line."""

    yaml: str
    yaml_offset: int
    body: str
    body_offset: int
    closed: bool = True


def split_options(content: str) -> Split:
    """Take the options off the top of a block's content."""
    lines = content.split("\n")
    first = next((n for n, line in enumerate(lines) if line.strip()), None)
    if first is None:
        return Split("", 0, "", 0)
    if lines[first].startswith("---"):
        return _between_rules(lines, first)
    return _colon_lines(lines, first)


def _between_rules(lines: list[str], first: int) -> Split:
    for n in range(first + 1, len(lines)):
        if lines[n].startswith("---"):
            return Split("\n".join(lines[first + 1 : n]), first + 1, *_body(lines, n + 1))
    return Split("\n".join(lines[first + 1 :]), first + 1, "", len(lines), closed=False)


def _colon_lines(lines: list[str], first: int) -> Split:
    options: list[str] = []
    for line in lines[first:]:
        match = _OPTION.match(line)
        if not match:
            break
        options.append(f"{match[1]}: {match[2] or ''}")
    return Split("\n".join(options), first, *_body(lines, first + len(options)))


def _body(lines: list[str], start: int) -> tuple[str, int]:
    while start < len(lines) and not lines[start].strip():
        start += 1
    return "\n".join(lines[start:]).rstrip(), start
