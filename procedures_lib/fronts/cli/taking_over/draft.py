"""Drafts: entries put on a page, new or one that is there, and those of an earlier run found."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from procedures_lib.fronts.cli.taking_over.entries import Entry, digest

_MARK = re.compile(
    r"\s*# taken over from (?P<where>.+), row (?P<row>\d+):"
    r" (?P<read>[a-p]{8}) (?P<text>[a-p]{8})"
)
_FENCE = re.compile(r"\s*(?P<marks>`{3,}|:{3,})\s*(?:\{(?P<name>[a-z-]+)\})?")
_LIST = re.compile(r"(?P<key>[a-z-]+):\s*$")
_KEY = re.compile(r"(?:\s*- (?:[a-z]+: )?|\s*)(?P<name>.+?):?\s*$")
_HEADINGS = {
    "fasteners": "Fasteners",
    "fluids": "Fluids",
    "parts": "Parts",
    "connections": "Connections",
}
ID_BLOCKS = tuple(_HEADINGS)
"""The blocks whose entries have ids."""
_LISTS = ("tools", "supplies")


@dataclass(frozen=True, slots=True)
class Placed:
    """An entry of an earlier run, on its page: lines ``start`` to ``end``, without its mark.

    ``touched`` tells that somebody has changed it since.
    """

    block: str
    name: str
    where: str
    row: int
    read: str
    touched: bool
    mark: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Changes:
    """What a run brings to a page.

    ``held`` are entries whose row has changed, and that somebody has changed on the page too;
    ``there`` those whose id stands on the page from elsewhere; ``gone`` those without a row now.
    """

    new: tuple[Entry, ...]
    changed: tuple[tuple[Placed, Entry], ...]
    same: tuple[Entry, ...]
    held: tuple[tuple[Placed, Entry], ...]
    there: tuple[Entry, ...]
    gone: tuple[Placed, ...] = field(default=())

    @property
    def brought(self) -> tuple[Entry, ...]:
        """The entries that are written."""
        return (*self.new, *(entry for _, entry in self.changed))

    @property
    def any(self) -> bool:
        """Whether there is something to write."""
        return bool(self.new or self.changed)


def placed_in(text: str) -> list[Placed]:
    """Return the entries on a page that a run has put there."""
    lines = text.split("\n")
    found: list[Placed] = []
    block = key = ""
    for n, line in enumerate(lines):
        if fence := _FENCE.match(line):
            block = fence["name"] or ""
        elif plain := _LIST.fullmatch(line):
            key = plain["key"]
        elif mark := _MARK.fullmatch(line):
            found.append(_placed(lines, n, mark, key if block == "step" else block))
    return found


def _placed(lines: Sequence[str], n: int, mark: re.Match[str], block: str) -> Placed:
    is_step = n >= 2 and lines[n - 1] == "---" and lines[n - 2].startswith(":::{step}")
    start, end = (
        (n - 2, _end_of_step(lines, n)) if is_step else (n + 1, _end_of_entry(lines, n + 1))
    )
    own = [line for k, line in enumerate(lines[start:end], start) if k != n]
    name = own[0].partition("}")[2].strip() if is_step and own else _name(own)
    return Placed(
        block="step" if is_step else block,
        name=name,
        where=mark["where"],
        row=int(mark["row"]),
        read=mark["read"],
        touched=digest("\n".join(own)) != mark["text"],
        mark=n,
        start=start,
        end=end,
    )


def _name(own: Sequence[str]) -> str:
    match = _KEY.fullmatch(own[0]) if own else None
    return match["name"].strip('"') if match else ""


def _end_of_step(lines: Sequence[str], n: int) -> int:
    return next((k + 1 for k in range(n, len(lines)) if lines[k].strip() == ":::"), n + 1)


def _end_of_entry(lines: Sequence[str], start: int) -> int:
    indent = _indent(lines[start]) if start < len(lines) else 0
    end = start + 1
    while end < len(lines) and lines[end].strip() and _indent(lines[end]) > indent:
        end += 1
    return end


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip())


def compared(entries: Iterable[Entry], text: str, ids: Collection[str]) -> Changes:
    """Return what entries bring to a page with this text, on which these ids stand.

    An entry is known again by its row as it was read, else by its name, a step by its line.
    """
    entries = list(entries)
    wheres = {entry.where for entry in entries}
    placed = [each for each in placed_in(text) if each.where in wheres]
    same, met = _as_they_were(entries, placed)
    open_ = [each for each in placed if each not in met]
    by_name = {(each.where, each.block, each.name): each for each in open_}
    by_row = {(each.where, each.block, each.row): each for each in open_ if each.block == "step"}
    new: list[Entry] = []
    there: list[Entry] = []
    changed: list[tuple[Placed, Entry]] = []
    held: list[tuple[Placed, Entry]] = []
    known = set(map(id, same))
    for entry in entries:
        if id(entry) in known:
            continue
        key = (entry.where, entry.block)
        old = by_name.pop((*key, _plain(entry.name)), None) or by_row.get((*key, entry.row))
        if old is not None and old not in met:
            met.add(old)
            (held if old.touched else changed).append((old, entry))
        elif entry.block in _HEADINGS and entry.name in ids:
            there.append(entry)
        else:
            new.append(entry)
    gone = tuple(each for each in placed if each not in met)
    return Changes(tuple(new), tuple(changed), tuple(same), tuple(held), tuple(there), gone)


def _as_they_were(
    entries: Iterable[Entry], placed: Iterable[Placed]
) -> tuple[list[Entry], set[Placed]]:
    """Return the entries whose rows are on the page as they are now, and where they stand."""
    by_read: dict[tuple[str, str, str], list[Placed]] = {}
    for each in placed:
        by_read.setdefault((each.where, each.block, each.read), []).append(each)
    same: list[Entry] = []
    met: set[Placed] = set()
    for entry in entries:
        if alike := by_read.get((entry.where, entry.block, entry.row_mark)):
            same.append(entry)
            met.add(alike.pop(0))
    return same, met


def _plain(name: str) -> str:
    return name.strip('"')


def with_changes(text: str, changes: Changes) -> str:
    """Return the text of a page with what a run brings; all other lines stay as they are."""
    lines = text.split("\n")
    for old, entry in sorted(changes.changed, key=lambda pair: -pair[0].start):
        first = old.start if old.block == "step" else old.mark
        lines[first : old.end] = marked(entry)
    for block in dict.fromkeys(entry.block for entry in changes.new):
        _insert(lines, block, [entry for entry in changes.new if entry.block == block])
    return "\n".join(lines)


def marked(entry: Entry) -> list[str]:
    """Return the lines of an entry with the comment that keeps its row."""
    mark = f"# taken over from {entry.where}, row {entry.row}: {entry.row_mark} {entry.text_mark}"
    if entry.block == "step":
        return [*entry.lines[:2], mark, *entry.lines[2:]]
    indent = " " * _indent(entry.lines[0])
    return [indent + mark, *entry.lines]


def _insert(lines: list[str], block: str, entries: Sequence[Entry]) -> None:
    """Put entries of one block behind those of the same list, else where the block belongs."""
    wheres = {entry.where for entry in entries}
    before = [
        each for each in placed_in("\n".join(lines)) if each.block == block and each.where in wheres
    ]
    own = [
        line for entry in entries for line in [*marked(entry), *([""] if block == "step" else [])]
    ]
    if before:
        at = before[-1].end
        lines[at:at] = ["", *own[:-1]] if block == "step" else own
    elif block == "kit" and (at := _end_of_contents(lines)):
        lines[at:at] = own
    elif block == "step":
        _append(lines, own)
    elif block in _LISTS:
        _insert_tools(lines, block, own)
    else:
        _append(
            lines, [f"## {_HEADINGS.get(block, block)}", "", f"```{{{block}}}", *own, "```", ""]
        )


def _append(lines: list[str], own: Sequence[str]) -> None:
    while lines and not lines[-1].strip():
        lines.pop()
    lines += ["", *own]
    if lines[-1]:
        lines.append("")


def _end_of_contents(lines: Sequence[str]) -> int:
    """Return where a packing list ends, 0 where there is none that has an item a line."""
    inside = False
    at = 0
    for n, line in enumerate(lines):
        fence = _FENCE.match(line)
        if fence:
            inside = fence["name"] == "kit"
            if at:
                return at
        elif (inside and line.rstrip() == "contents:") or (
            at and (line.startswith((" ", "- ")) or not line.strip())
        ):
            at = n + 1
        elif at:
            return at
    return at


def _insert_tools(lines: list[str], block: str, own: Sequence[str]) -> None:
    step = [
        ":::{step} Lay out what is needed",
        "---",
        f"{block}:",
        *own,
        "---",
        "All of it is at hand before the work begins.",
        ":::",
        "",
    ]
    first = next((n for n, line in enumerate(lines) if line.startswith(":::{")), 0)
    if first:
        lines[first:first] = step
    else:
        _append(lines, step)
