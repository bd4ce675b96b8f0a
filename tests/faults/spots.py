"""The values of a block's YAML, each with where it begins and ends in the text of its page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import yaml

from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, Body, split_options

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from procedures_lib.language.reading.page import Block

    Offset = Callable[[int, int], int]


@dataclass(frozen=True, slots=True)
class Spot:
    """A value: ``start`` and ``end`` are offsets in the page's text.

    ``value`` is the text of a scalar; ``items`` are those of a list, ``entries`` the pairs of a
    mapping; ``flow`` tells that it stands between brackets.
    """

    start: int
    end: int
    value: str = ""
    items: tuple[Spot, ...] = ()
    entries: tuple[tuple[Spot, Spot], ...] = ()
    flow: bool = False

    def get(self, *path: str | int) -> Spot | None:
        """Return the value under some keys (and numbers, in lists); None when there is none."""
        found: Spot | None = self
        for part in path:
            if found is None:
                return None
            if isinstance(part, int):
                found = found.items[part] if part < len(found.items) else None
            else:
                found = next((spot for key, spot in found.entries if key.value == part), None)
        return found

    def key(self, name: str) -> Spot | None:
        """Return where a key itself stands."""
        return next((key for key, _ in self.entries if key.value == name), None)

    def texts(self, *path: str | int) -> tuple[Spot, ...]:
        """Return the scalars of a list under some keys; a single scalar counts as a list of one."""
        found = self.get(*path)
        if found is None:
            return ()
        return (found,) if found.value else found.items

    def scalars(self) -> Iterator[Spot]:
        """Yield every scalar that is no key, in the order of the page."""
        if self.value:
            yield self
        for spot in (*self.items, *(value for _, value in self.entries)):
            yield from spot.scalars()


def spots_of(block: Block, text: str, starts: list[int]) -> Spot:
    """Return the YAML of a block, with every value where it stands.

    ``starts`` are the offsets at which the lines of the page's text begin.
    """
    line = block.place.line
    content = text[starts[line] : starts[block.end - 1]]
    if BLOCK_KINDS[block.name].body is Body.DATA:
        yaml_text, first, indent = content, line, 0
    else:
        split = split_options(content)
        yaml_text, first = split.yaml, line + split.yaml_offset
        indent = int(text[starts[first] : starts[first] + 1] == ":")

    def offset(row: int, column: int) -> int:
        return starts[first + row] + column + indent

    node = yaml.compose(yaml_text, Loader=yaml.SafeLoader)
    return _spot(node, offset) if node is not None else Spot(starts[line], starts[line])


def _spot(node: yaml.Node, offset: Offset) -> Spot:
    start = offset(node.start_mark.line, node.start_mark.column)
    if isinstance(node, yaml.ScalarNode):
        return Spot(start, offset(node.end_mark.line, node.end_mark.column), str(node.value))
    assert isinstance(node, yaml.CollectionNode)
    flow = bool(node.flow_style)
    if isinstance(node, yaml.SequenceNode):
        items = tuple(_spot(item, offset) for item in node.value)
        end = offset(node.end_mark.line, node.end_mark.column) if flow else items[-1].end
        return Spot(start, end, items=items, flow=flow)
    entries = tuple((_spot(key, offset), _spot(value, offset)) for key, value in node.value)
    end = offset(node.end_mark.line, node.end_mark.column) if flow else entries[-1][1].end
    return Spot(start, end, entries=entries, flow=flow)
