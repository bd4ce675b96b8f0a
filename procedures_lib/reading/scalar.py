"""Text that remembers its line."""

from __future__ import annotations


class Scalar(str):
    """A word or phrase of a page, with the line it stands on (from 1).

    Equal to, and hashed like, the plain text: a block that merely moved down its page is the same.
    """

    __slots__ = ("line",)
    line: int

    def __new__(cls, text: str, line: int = 0) -> Scalar:
        made = str.__new__(cls, text)
        made.line = line
        return made

    def __getnewargs__(self) -> tuple[str, int]:  # type: ignore[override]
        return str(self), self.line


Tree = Scalar | list["Tree"] | dict[Scalar, "Tree"]


def line_of(tree: Tree, default: int) -> int:
    """Return the line on which a value starts: its own, or that of its first part."""
    if isinstance(tree, Scalar):
        return tree.line
    parts = tree if isinstance(tree, list) else list(tree)
    return line_of(parts[0], default) if parts else default
