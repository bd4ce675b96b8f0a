"""Every word of a page's blocks and roles with the column where it stands, for whoever edits it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

import yaml

from procedures_lib.language.reading.block_kinds import (
    BLOCK_KINDS,
    OPTION_LINE,
    Body,
    split_options,
)
from procedures_lib.language.reading.block_yaml import NOT_LINE_ENDS, entries_of, events_of
from procedures_lib.language.reading.page import Block, Page, Role

ITEM = "-"
"""What stands in a path for any item of a list."""


@dataclass(frozen=True, slots=True)
class Word:
    """A key or value of a block's YAML, the argument of a block, or the target of a role.

    ``block`` is the name of the block or role; ``path`` the keys that lead to it, its own last
    where it is one. ``text`` is as the page has it, without quotes; it begins on ``line`` (from 1)
    in ``column`` (from 0, in characters) and may go on over several lines.
    """

    use: Literal["key", "value", "argument", "role"]
    block: str
    path: tuple[str, ...]
    text: str
    line: int
    column: int

    def within(self, start: int, end: int) -> tuple[int, int, int]:
        """Return where a piece of the text stands: its line, first column and last column.

        The piece, from ``start`` to ``end`` in the text, has no line break in it.
        """
        above = self.text.count("\n", 0, start)
        begin = self.text.rfind("\n", 0, start) + 1
        column = start - begin + (0 if above else self.column)
        return self.line + above, column, column + end - start

    def offset(self, line: int, column: int) -> int | None:
        """Return the place in the text of a column of the page; None where it does not reach."""
        lines = self.text.split("\n")
        n = line - self.line
        if not 0 <= n < len(lines):
            return None
        begin = column - (0 if n else self.column)
        if not 0 <= begin <= len(lines[n]):
            return None
        return sum(len(each) + 1 for each in lines[:n]) + begin


def words_of(text: str, page: Page) -> Iterator[Word]:
    """Yield the words of a page, block by block; ``text`` is what the page was read from.

    Of a block whose YAML is broken the words come as far as they can be told.
    """
    lines = text.split("\n")
    yield from _roles(page.roles, lines)
    for block in page.walk():
        yield from block_words(lines, block)
        yield from _roles(block.roles, lines)


def block_words(lines: list[str], block: Block) -> Iterator[Word]:
    """Yield the words of one block: its argument, and the YAML that it holds or has above it."""
    first = block.place.line
    opening = lines[first - 1]
    at = opening.find("}") + 1
    argument = opening[at:].strip()
    if argument:
        column = at + opening[at:].index(argument)
        yield Word("argument", block.name, (), argument, first, column)
    end = block.end - 1 if _closes(lines[block.end - 1]) and block.end > first else block.end
    content = lines[first:end]
    kind = BLOCK_KINDS[block.name].body
    if kind is Body.DATA:
        yield from _yaml_words("\n".join(content), first + 1, block.name)
    else:
        split = split_options("\n".join(content))
        if split.yaml:
            count = split.yaml.count("\n") + 1
            held = content[split.yaml_offset : split.yaml_offset + count]
            options = "\n".join(map(_option, held))
            yield from _yaml_words(options, first + 1 + split.yaml_offset, block.name)


def _closes(line: str) -> bool:
    mark = line.strip()
    return len(mark) >= 3 and len(set(mark)) == 1 and mark[0] in "`~:"


def _option(line: str) -> str:
    """Return a line ``:key: value`` as YAML, with every sign in its column."""
    return line.replace(":", " ", 1) if OPTION_LINE.match(line) else line


def _roles(roles: tuple[Role, ...], lines: list[str]) -> Iterator[Word]:
    seen: set[tuple[int, int]] = set()
    for role in roles:
        line = lines[role.target.line - 1] if role.target.line <= len(lines) else ""
        opening = f"{{{role.name}}}`"
        at = line.find(opening)
        while at >= 0:
            start = at + len(opening)
            end = line.find("`", start)
            inner = line[start : max(end, start)]
            column = start + len(inner) - len(inner.lstrip())
            if inner.strip() == role.target and (role.target.line, column) not in seen:
                seen.add((role.target.line, column))
                yield Word("role", role.name, (), inner.strip(), role.target.line, column)
            at = line.find(opening, start)


# -- YAML --------------------------------------------------------------------------------------


def _yaml_words(text: str, first: int, block: str) -> Iterator[Word]:
    scan = _Scan(text.translate(NOT_LINE_ENDS), first, block)
    if scan.run():
        yield from scan.words
        return
    entries = entries_of(text)
    if len(entries) < 2:
        yield from scan.words
        return
    for _, offset, part in entries:
        one = _Scan(part.translate(NOT_LINE_ENDS), first + offset, block)
        one.run()
        yield from one.words


class _Scan:
    """The words of one YAML text, as far as its parser gets."""

    def __init__(self, text: str, first: int, block: str) -> None:
        self._text = text
        self._lines = text.split("\n")
        self._first = first
        self._block = block
        self._open: list[str | None] = []  # the key of each mapping, ITEM of each list
        self.words: list[Word] = []

    def run(self) -> bool:
        """Collect the words; tell whether the text could be read to its end."""
        try:
            for event in events_of(self._text):
                self._take(event)
        except yaml.YAMLError:
            return False
        return True

    def _take(self, event: Any) -> None:
        if isinstance(event, yaml.ScalarEvent):
            self._scalar(event)
        elif isinstance(event, yaml.MappingStartEvent):
            self._open.append(None)
        elif isinstance(event, yaml.SequenceStartEvent):
            self._open.append(ITEM)
        elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
            self._open.pop()
            self._done()

    def _scalar(self, event: Any) -> None:
        is_key = bool(self._open) and self._open[-1] is None
        text, column = self._written(event)
        path = tuple(key or "" for key in (self._open[:-1] if is_key else self._open))
        line = self._first + event.start_mark.line
        word = Word("value", self._block, path, text, line, column)
        if is_key:
            self.words.append(replace(word, use="key", path=(*path, event.value)))
            self._open[-1] = event.value
        else:
            self.words.append(word)
            self._done()

    def _done(self) -> None:
        """A value has ended: in a mapping a key comes next."""
        if self._open and self._open[-1] != ITEM:
            self._open[-1] = None

    def _written(self, event: Any) -> tuple[str, int]:
        start, end = event.start_mark, event.end_mark
        lines = self._lines[start.line : end.line + 1] or [""]
        if start.line == end.line:
            lines = [lines[0][: end.column]]
        else:
            lines[-1] = lines[-1][: end.column]
        text, column = "\n".join([lines[0][start.column :], *lines[1:]]), start.column
        if event.style in {"'", '"'} and len(text) > 1:
            return text[1:-1], column + 1
        return text.rstrip(), column
