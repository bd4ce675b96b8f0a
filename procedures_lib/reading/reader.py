"""Text of one page to its blocks, roles, prose and code examples, each with its line."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from procedures_lib.findings import Finding, Place, suggestion
from procedures_lib.reading.block_kinds import BLOCK_KINDS, CONTAINERS, LITERALS, UNSEEN, Body
from procedures_lib.reading.markdown import block_tokens, inline_tokens
from procedures_lib.reading.options import split_options
from procedures_lib.reading.page import Block, Fence, Page, Prose, Role, Section
from procedures_lib.reading.scalar import Scalar
from procedures_lib.reading.text import page_text
from procedures_lib.reading.yaml_tree import compose

if TYPE_CHECKING:
    from markdown_it.token import Token

    from procedures_lib.reading.block_kinds import BlockKind

_DIRECTIVE = re.compile(r"\{([^\s}]+)\}\s*(.*)$")
_DEEPEST = 8
_HIDDEN = "\ufffc"


@dataclass(slots=True)
class _Found:
    """What has been met so far in one run of text."""

    blocks: list[Block] = field(default_factory=list)
    roles: list[Role] = field(default_factory=list)
    prose: list[Prose] = field(default_factory=list)
    fences: list[Fence] = field(default_factory=list)
    sections: list[Section] = field(default_factory=list)


def read_page(raw: bytes, name: str) -> Page:
    """Read one page; never raises, whatever the bytes: what is wrong is among the findings.

    ``name`` is the page's path below the manual's folder, with forward slashes.
    """
    text, findings = page_text(raw, name)
    reader = _Reader(name, findings)
    found = reader.read(text, 1, 0)
    title = next((section.title for section in found.sections if section.level == 1), "")
    return Page(
        name,
        title,
        tuple(found.blocks),
        tuple(found.roles),
        tuple(found.prose),
        tuple(found.fences),
        tuple(found.sections),
        tuple(findings),
    )


class _Reader:
    """Reads the text of one page, and of the bodies inside it."""

    def __init__(self, page: str, findings: list[Finding]) -> None:
        self._page = page
        self._findings = findings

    def read(self, text: str, first: int, depth: int) -> _Found:
        """Read a run of MyST that begins on line ``first`` of the page."""
        found = _Found()
        lines = text.split("\n")
        heading = 0
        for token in block_tokens(text):
            if token.type in {"fence", "colon_fence"}:
                self._fence(token, lines, first, depth, found)
            elif token.type == "heading_open":
                heading = int(token.tag[1:])
            elif token.type == "inline":
                line = first + (token.map[0] if token.map else 0)
                if heading:
                    found.sections.append(Section(heading, token.content, line))
                    heading = 0
                _inline(token.content, line, found)
        return found

    def _fence(self, token: Token, lines: list[str], first: int, depth: int, into: _Found) -> None:
        start, stop = token.map or [0, 0]
        opening, end = first + start, first + stop - 1
        match = _DIRECTIVE.match(token.info.strip())
        if not match:
            if token.type == "fence":
                words = token.info.split()
                into.fences.append(Fence(words[0] if words else "", token.content, opening, end))
            return
        name, argument = match[1], match[2].strip()
        if name in BLOCK_KINDS:
            self._closed(name, token, lines[stop - 1], opening, stop - start)
            block = self._block(BLOCK_KINDS[name], argument, token.content, opening, end, depth)
            into.blocks.append(block)
        else:
            self._foreign(name, token.content, opening, depth, into)

    def _closed(self, name: str, token: Token, last: str, line: int, length: int) -> None:
        mark = last.strip().removeprefix("> ").strip()
        if length > 1 and set(mark) == {token.markup[0]} and len(mark) >= len(token.markup):
            return
        self._find(
            line,
            "unreadable-block",
            f"the `{{{name}}}` block is never closed, and takes in all that follows",
            f"end it with a line `{token.markup}`",
        )

    def _foreign(self, name: str, content: str, line: int, depth: int, into: _Found) -> None:
        if name in CONTAINERS:
            split = split_options(content)
            inner = self._inside(split.body, line + 1 + split.body_offset, line, depth)
            for mine, theirs in (
                (into.blocks, inner.blocks),
                (into.roles, inner.roles),
                (into.prose, inner.prose),
                (into.fences, inner.fences),
            ):
                mine.extend(theirs)  # type: ignore[arg-type]
        elif name in UNSEEN:
            self._find(line, "unseen-text", f"`{{{name}}}` is not read by the checks", UNSEEN[name])
        elif name not in LITERALS:
            hint = suggestion(name, {*BLOCK_KINDS, *CONTAINERS, *LITERALS})
            if not hint.startswith("did"):
                hint = "the blocks are listed in the writer's guide"
            self._find(line, "unknown-block", f"there is no block `{{{name}}}`", hint)

    def _inside(self, body: str, first: int, line: int, depth: int) -> _Found:
        if depth < _DEEPEST:
            return self.read(body, first, depth + 1)
        self._find(line, "unreadable-block", "blocks stand too deep inside one another", "flatten")
        return _Found()

    def _block(
        self, kind: BlockKind, argument: str, content: str, line: int, end: int, depth: int
    ) -> Block:
        place = Place(self._page, line)
        title = Scalar(argument, line)
        if kind.argument_needed and not argument:
            self._find(
                line,
                "missing-field",
                f"`{{{kind.name}}}` needs its {kind.argument} on the same line",
                f"write ```{{{kind.name}}} {kind.argument.replace(' ', '-')}",
            )
        if not kind.argument and argument:
            self._find(
                line,
                "unknown-field",
                f"`{{{kind.name}}}` takes nothing after its name, but `{argument}` stands there",
                "remove it",
            )
        if kind.body is Body.DATA:
            tree, wrong = compose(content, self._page, line + 1)
            self._findings.extend(wrong)
            broken = tree is None and any(f.check == "unreadable-block" for f in wrong)
            return Block(kind.name, title, place, end, tree, readable=not broken)
        return self._text_block(kind, title, place, end, content, depth)

    def _text_block(
        self, kind: BlockKind, title: Scalar, place: Place, end: int, content: str, depth: int
    ) -> Block:
        line = place.line
        split = split_options(content)
        if not split.closed:
            self._find(line, "unreadable-block", "the options begin with `---` but never end",
                       "close them with a second line `---`")  # fmt: skip
        tree, wrong = compose(split.yaml, self._page, line + 1 + split.yaml_offset)
        self._findings.extend(wrong)
        body_line = line + 1 + split.body_offset
        found = _Found()
        if kind.body is Body.TEXT:
            found = self._inside(split.body, body_line, line, depth)
        elif kind.body is Body.DERIVED and split.body:
            self._find(body_line, "unknown-field", f"`{{{kind.name}}}` holds options only",
                       "move the text out of the block")  # fmt: skip
        return Block(
            kind.name,
            title,
            place,
            end,
            tree,
            split.body,
            body_line,
            tuple(found.blocks),
            tuple(found.roles),
            tuple(found.prose),
            tuple(found.fences),
            readable=not wrong and split.closed,
        )

    def _find(self, line: int, check: str, message: str, hint: str) -> None:
        self._findings.append(Finding(Place(self._page, line), check, message, hint))


def _inline(content: str, line: int, into: _Found) -> None:
    """Note the roles and the visible words of one run of inline text."""
    if "`" not in content:
        into.prose.append(Prose(content, line))
        return
    words: list[str] = []
    at = line
    for token in inline_tokens(content):
        if token.type == "myst_role":
            into.roles.append(Role(token.meta["name"], Scalar(token.content.strip(), at)))
            words.append(_HIDDEN)
        elif token.type == "code_inline":
            words.append(_HIDDEN)
        elif token.type in {"softbreak", "hardbreak"}:
            at += 1
            words.append("\n")
        else:
            words.append(token.content)
    into.prose.append(Prose("".join(words), line))
