"""What the reader finds on a page: plain frozen values, and text that remembers its line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from procedures_lib.findings import Finding, Place


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


HIDDEN = "\ufffc"
"""What stands in the words of a page for each role and each piece of code."""

Tree = Scalar | list["Tree"] | dict[Scalar, "Tree"]


def line_of(tree: Tree, default: int) -> int:
    """Return the line on which a value starts: its own, or that of its first part."""
    if isinstance(tree, Scalar):
        return tree.line
    parts = tree if isinstance(tree, list) else list(tree)
    return line_of(parts[0], default) if parts else default


@dataclass(frozen=True, slots=True)
class Role:
    """An inline ``{name}`text` ``: ``target`` is the text between the ticks."""

    name: str
    target: Scalar


@dataclass(frozen=True, slots=True)
class Pointer:
    """What leads from the page to another place, or can be led to.

    ``kind`` is ``link`` (``target`` is the address, its escapes resolved), ``picture`` (its path),
    ``entry`` or ``glob`` (a line of a list of contents), ``label`` (the name of a place on this
    page), ``footnote`` (its label, where it is written) or ``footnote-mark`` (where it is used).
    ``inside`` is the outermost block that it stands in.
    """

    kind: str
    target: str
    line: int
    inside: str = ""


@dataclass(frozen=True, slots=True)
class Prose:
    """Words a reader sees, line breaks kept; code and roles are each replaced by U+FFFC."""

    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Fence:
    """An ordinary code example: ``line`` is its opening fence, ``end`` its last line."""

    language: str
    text: str
    line: int
    end: int


@dataclass(frozen=True, slots=True)
class Section:
    """A heading."""

    level: int
    title: str
    line: int


@dataclass(frozen=True, slots=True)
class Blank:
    """A place that a draft leaves to be filled in: ``‹what belongs there, such as an example›``.

    ``names`` tells one that stands where an entry of a block gets its id.
    """

    line: int
    content: str
    example: str
    names: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """A directive of the page language.

    ``data`` holds the YAML of a data block, or the options of any other; ``body`` the MyST text of
    a text block, which starts on line ``body_line``; ``blocks``, ``roles``, ``prose`` and
    ``fences`` are what stands in that body, and in the title above it. ``end`` is the block's last
    line, its closing fence. ``lost`` are the outermost keys whose YAML could not be read.
    """

    name: str
    argument: Scalar
    place: Place
    end: int
    data: Tree | None = None
    body: str = ""
    body_line: int = 0
    blocks: tuple[Block, ...] = ()
    roles: tuple[Role, ...] = ()
    prose: tuple[Prose, ...] = ()
    fences: tuple[Fence, ...] = ()
    lost: frozenset[str] = frozenset()
    readable: bool = True

    def walk(self) -> Iterator[Block]:
        """Yield this block and those inside it, in the order of the page."""
        yield self
        for block in self.blocks:
            yield from block.walk()

    @property
    def header_end(self) -> int:
        """The last line before the body (of a text block), or of the whole block."""
        return self.body_line - 1 if self.body else self.end


@dataclass(frozen=True, slots=True)
class Page:
    """One page: ``name`` is its path below the manual's folder, with forward slashes.

    ``pointers`` are those of the whole page, blocks included; ``settings`` stand above it. It is
    read with the example in the place of each of its ``blanks``.
    """

    name: str
    title: str = ""
    blocks: tuple[Block, ...] = ()
    roles: tuple[Role, ...] = ()
    prose: tuple[Prose, ...] = ()
    fences: tuple[Fence, ...] = ()
    sections: tuple[Section, ...] = ()
    findings: tuple[Finding, ...] = field(default=())
    pointers: tuple[Pointer, ...] = ()
    settings: tuple[str, ...] = ()
    blanks: tuple[Blank, ...] = ()

    @property
    def docname(self) -> str:
        """The page's name without its ending, as Sphinx calls it."""
        return self.name.removesuffix(".md")

    def walk(self) -> Iterator[Block]:
        """Yield every block, those inside others too, in the order of the page."""
        for block in self.blocks:
            yield from block.walk()
