"""Where a field of an entity or step stands on its page, and its raw text."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.entities.builder import COLLECTIONS
from procedures_lib.findings import Place
from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from procedures_lib.entities.content import Content
    from procedures_lib.reading.page import Block


class Spots:
    """The lines of one page's fields, looked up by the line on which their owner begins."""

    def __init__(self, content: Content) -> None:
        self._page = content.page.name
        self._trees: dict[int, Any] = {}
        for block in content.page.walk():
            self._take(block)

    def _take(self, block: Block) -> None:
        self._trees[block.place.line] = block.data
        if block.name in COLLECTIONS and isinstance(block.data, dict):
            self._trees.update((key.line, tree) for key, tree in block.data.items())

    def place(self, owner: Place, field: str) -> Place:
        """Return the place of a field, such as ``into material``; the owner's if it has none."""
        tree, line = self._trees.get(owner.line), owner.line
        for part in _path(field):
            if not isinstance(tree, dict) or part not in tree:
                break
            key = next(key for key in tree if key == part)
            line, tree = key.line or line, tree[part]
        return Place(self._page, line)

    def raw(self, owner: Place, field: str) -> str:
        """Return the text of a field as it stands on the page, even if it can't be read."""
        tree = self._trees.get(owner.line)
        for part in _path(field):
            tree = tree.get(part) if isinstance(tree, dict) else None
        return _raw(tree)


def _path(field: str) -> list[str]:
    head, _, rest = field.partition(" ")
    return [head, rest] if rest else [head]


def _raw(tree: Any) -> str:
    if isinstance(tree, Scalar):
        return str(tree)
    if isinstance(tree, list):
        return ", ".join(_raw(item) for item in tree)
    if isinstance(tree, dict):
        return ", ".join(f"{key}: {_raw(value)}" for key, value in tree.items())
    return ""
