"""A page of the demo as text that can be edited where its values, steps and blocks stand."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate
from typing import TYPE_CHECKING

from tests.faults.spots import Spot, spots_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from procedures_lib.language.entities.entity import Entity
    from procedures_lib.language.entities.work import Content, Step
    from procedures_lib.language.reading.page import Block


@dataclass(frozen=True, slots=True)
class Edit:
    """What stands from ``start`` to ``end`` in a page's text becomes ``text``."""

    start: int
    end: int
    text: str = ""


def edited(text: str, edits: Iterable[Edit]) -> str:
    """Return a text with edits made; they must not overlap."""
    for edit in sorted(edits, key=lambda edit: edit.start, reverse=True):
        text = text[: edit.start] + edit.text + text[edit.end :]
    return text


class Source:
    """One page: its text, what the library read on it, and where."""

    def __init__(self, content: Content, text: str) -> None:
        self.name = content.page.name
        self.content = content
        self.text = text
        self._starts = list(accumulate((len(row) + 1 for row in text.split("\n")), initial=0))
        self._spots: dict[int, Spot] = {}
        self.blocks = {block.place.line: block for block in content.page.walk()}

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps written on the page, calls for common steps too."""
        return tuple(step for _, steps in self.content.steps for step in steps)

    def spots(self, block: Block) -> Spot:
        """The YAML of a block, each value with its place."""
        line = block.place.line
        if line not in self._spots:
            self._spots[line] = spots_of(block, self.text, self._starts)
        return self._spots[line]

    def block_at(self, line: int) -> Block:
        """The innermost block that a line of the page belongs to."""
        around = (b for b in self.blocks.values() if b.place.line <= line <= b.end)
        return max(around, key=lambda block: block.place.line)

    def spot_of(self, entity: Entity) -> Spot:
        """The fields of an entity; of a head, its whole block."""
        whole = self.spots(self.block_at(entity.place.line))
        return whole.get(entity.id) or whole

    def key_of(self, entity: Entity) -> Spot | None:
        """Where the id of an entity is defined, when it is a key of its block."""
        return self.spots(self.block_at(entity.place.line)).key(entity.id)

    def rows(self, first: int, last: int) -> tuple[int, int]:
        """The offsets of whole lines of the page, their line ends included."""
        return self._starts[first - 1], self._starts[last]

    def row_of(self, offset: int) -> int:
        """The line, from 1, on which an offset lies."""
        return self.text.count("\n", 0, offset) + 1

    def column_of(self, offset: int) -> int:
        """How far into its line an offset lies."""
        return offset - self._starts[self.row_of(offset) - 1]

    # -- edits -------------------------------------------------------------------------------------

    def without(self, parent: Spot, key: str, item: int | None = None) -> Edit:
        """Take an entry out of a mapping, or one item out of the list under it.

        The last item of a list takes the entry with it.
        """
        parts = parent.texts(key)
        if item is None or len(parts) == 1:
            pairs = parent.entries
            n = next(n for n, (name, _) in enumerate(pairs) if name.value == key)
            return self._cut([(name.start, value.end) for name, value in pairs], n, parent.flow)
        whole = parent.get(key)
        flow = whole is not None and whole.flow
        return self._cut([(part.start, part.end) for part in parts], item, flow)

    def entry(self, whole: Spot, text: str) -> Edit:
        """Put an entry before the first one of a mapping."""
        first = whole.entries[0][0].start
        gap = ", " if whole.flow else "\n" + " " * self.column_of(first)
        return Edit(first, first, f"{text}{gap}")

    def _cut(self, spans: list[tuple[int, int]], n: int, flow: bool) -> Edit:
        start, end = spans[n]
        if not flow:
            return Edit(*self.rows(self.row_of(start), self.row_of(end)))
        if n + 1 < len(spans):
            return Edit(start, spans[n + 1][0])
        return Edit(spans[n - 1][1] if n else start, end)
