"""Text of one page to its blocks, roles, prose and code examples, each with its line."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import TYPE_CHECKING

from procedures_lib.findings import Finding, Place, suggestion
from procedures_lib.reading.block_kinds import BLOCK_KINDS, CONTAINERS, LITERALS, UNSEEN, Body
from procedures_lib.reading.block_yaml import compose
from procedures_lib.reading.fenced import Fenced
from procedures_lib.reading.inline import note_inline
from procedures_lib.reading.markdown import block_tokens
from procedures_lib.reading.options import split_options
from procedures_lib.reading.page import Block, Fence, Page, Prose, Role, Section
from procedures_lib.reading.paragraphs import plain_paragraphs
from procedures_lib.reading.raw_html import (
    ADDRESS,
    TAKE_OUT,
    programs_in,
    raw_in_directive,
    raw_in_head,
    raw_in_html,
)
from procedures_lib.reading.scalar import Scalar
from procedures_lib.reading.text import page_text

if TYPE_CHECKING:
    from markdown_it.token import Token

    from procedures_lib.reading.block_kinds import BlockKind

_DIRECTIVE = re.compile(r"\{([^\s}]+)\}(\s*)(.*)$")
_A_SLIP = 0.75
"""How like a block's name another must be to be read as that (difflib ratio)."""
_NOT_INSIDE = frozenset(
    ["step", "common-steps", *(k.name for k in BLOCK_KINDS.values() if k.body is Body.DATA)]
)
"""Blocks that never belong inside another of the page language."""
_DEEPEST = 8
_MOST_RESCUES = 20
_LONGEST_RUN = 20_000
_UNTITLED = frozenset(["figure", "only", "class", "rst-class", "button-link", "button-ref"])
"""Containers whose first line is no text for a reader."""


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
        self._rescues = 0
        self._owed = 0

    def read(self, text: str, first: int, depth: int) -> _Found:
        """Read a run of MyST that begins on line ``first`` of the page."""
        found = _Found()
        self._run(text, first, depth, found)
        return found

    def _run(self, text: str, first: int, depth: int, into: _Found) -> None:
        paragraphs = plain_paragraphs(text)
        if paragraphs is not None:
            for below, content in paragraphs:
                self._inline(content, first + below, into)
            return
        lines = text.split("\n")
        heading = 0
        for token in block_tokens(text):
            if token.type in {"fence", "colon_fence"}:
                self._fence(token, lines, first, depth, into)
            elif token.type in {"html_block", "front_matter"}:
                self._raw(token, first)
            elif token.type == "heading_open":
                heading = int(token.tag[1:])
            elif token.type == "inline":
                line = first + (token.map[0] if token.map else 0)
                if heading:
                    into.sections.append(Section(heading, token.content, line))
                    heading = 0
                self._inline(token.content, line, into)

    def _inline(self, content: str, line: int, into: _Found) -> None:
        if len(content) <= _LONGEST_RUN:
            tags = note_inline(content, line, into.roles, into.prose)
            told = next(((at, html) for at, html in tags if raw_in_html(html)), None)
            if told is not None:
                self._find_html(told[1], told[0])
            for below in programs_in(into.prose[-1].text):
                self._find(line + below, "raw-html", "a link to a program", ADDRESS)
            return
        self._find(line, "unreadable-page", f"a paragraph of {len(content):,} characters",
                   f"at most {_LONGEST_RUN:,} are read: part it with blank lines")  # fmt: skip

    def _raw(self, token: Token, first: int) -> None:
        """Find HTML between paragraphs, and settings above the page that write HTML."""
        line = first + (token.map[0] if token.map else 0)
        if token.type == "html_block":
            self._find_html(token.content, line)
        elif (below := raw_in_head(token.content)) is not None:
            self._find(line + 1 + below, "raw-html", "`html_meta` writes into the page's head",
                       "remove it")  # fmt: skip

    def _find_html(self, html: str, line: int) -> None:
        if tag := raw_in_html(html):
            self._find(line, "raw-html", f"HTML on the page: `{tag}`", TAKE_OUT)

    # -- fences --------------------------------------------------------------------------------

    def _fence(self, token: Token, lines: list[str], first: int, depth: int, into: _Found) -> None:
        start, stop = token.map or [0, 0]
        fence = Fenced(token, first + start, first + stop - 1, lines[stop - 1])
        match = _DIRECTIVE.match(token.info.strip())
        if match:
            self._directive(match, fence, depth, into)
        elif token.type == "fence":
            self._code(fence, into)
        else:
            self._box(fence, depth, into)

    def _directive(self, match: re.Match[str], fence: Fenced, depth: int, into: _Found) -> None:
        name, argument = match[1], match[3].strip()
        if argument and not match[2]:
            self._find(fence.line, "unreadable-block", f"a space is missing after `{{{name}}}`",
                       f"write {fence.markup}{{{name}}} {argument}")  # fmt: skip
        if name not in BLOCK_KINDS:
            split = split_options(fence.content)
            options = "\n" * split.yaml_offset + split.yaml
            for below, said, hint in raw_in_directive(name, argument, options):
                self._find(fence.line + below, "raw-html", said, hint)
        content, end = fence.content, fence.end
        opening = fence.opening_inside()
        rescued = opening is not None and self._rescues < _MOST_RESCUES
        if opening is not None and rescued:
            self._rescues += 1
            self._unclosed_before(name, fence, opening)
            content, end = fence.before(opening), fence.line + opening
        elif not fence.closed:
            self._find(
                fence.line,
                "unreadable-block",
                f"the `{{{name}}}` block is never closed, and takes in all that follows",
                f"end it with a line {fence.markup}",
            )
        kind = BLOCK_KINDS.get(name) or self._meant(name, fence.line)
        if kind is not None:
            self._check_argument(kind, argument, fence)
            into.blocks.append(self._block(kind, argument, content, fence.line, end, depth))
        else:
            self._foreign(name, argument, content, fence.line, depth, into)
        if opening is not None and rescued:
            self._run(fence.rest(opening), end + 1, depth, into)

    def _check_argument(self, kind: BlockKind, argument: str, fence: Fenced) -> None:
        if kind.argument_needed and not argument:
            wanted = kind.argument.replace(" ", "-")
            self._find(fence.line, "missing-field",
                       f"`{{{kind.name}}}` needs its {kind.argument} on the same line",
                       f"write {fence.markup}{{{kind.name}}} {wanted}")  # fmt: skip
        elif argument and not kind.argument:
            self._find(fence.line, "unknown-field",
                       f"`{{{kind.name}}}` takes nothing after its name,"
                       f" but `{argument}` stands there", "remove it")  # fmt: skip

    def _meant(self, name: str, line: int) -> BlockKind | None:
        """Return the block that a slip of the pen was meant to be, with a finding."""
        if name in CONTAINERS or name in LITERALS or name in UNSEEN:
            return None
        near = get_close_matches(name.lower(), BLOCK_KINDS, n=1, cutoff=_A_SLIP)
        if not near:
            return None
        self._find(line, "unknown-block", f"there is no block `{{{name}}}`",
                   f"did you mean `{near[0]}`?")  # fmt: skip
        return BLOCK_KINDS[near[0]]

    def _unclosed_before(self, name: str, fence: Fenced, opening: int) -> None:
        mark, inner = fence.markup, fence.name_inside(opening)
        hint = f"end it with a line {mark} before that"
        if name not in BLOCK_KINDS or BLOCK_KINDS[name].body is not Body.DATA:
            self._owed += 1
            if inner not in _NOT_INSIDE:
                longer = f"{mark}{mark[0]}{{{name}}}"
                hint += f", or open it with a longer {longer} when `{{{inner}}}` belongs inside it"
        line = fence.line + 1 + opening
        self._find(
            fence.line,
            "unreadable-block",
            f"the `{{{name}}}` block is not closed when `{{{inner}}}` begins on line {line}",
            hint,
        )

    def _code(self, fence: Fenced, into: _Found) -> None:
        """Note an ordinary code example; a block's name without braces is a slip."""
        words = fence.info.split()
        language = words[0] if words else ""
        into.fences.append(Fence(language, fence.content, fence.line, fence.end))
        if not self._unbraced(fence) and not fence.closed:
            self._find(fence.line, "unreadable-block",
                       "the code example is never closed, and takes in all that follows",
                       f"end it with a line {fence.markup}")  # fmt: skip

    def _unbraced(self, fence: Fenced) -> bool:
        name = fence.info.strip("{} \t").split(" ")[0].rstrip("}")
        if name not in BLOCK_KINDS:
            return False
        self._find(fence.line, "unknown-block", f"`{fence.info.strip()}` is no block here",
                   f"write {fence.markup}{{{name}}}")  # fmt: skip
        return True

    def _box(self, fence: Fenced, depth: int, into: _Found) -> None:
        """Read what stands between colons without a block's name."""
        stray = not fence.info.strip() and (not fence.closed or fence.opening_inside() is not None)
        if not stray:
            if not self._unbraced(fence) and not fence.closed:
                self._find(fence.line, "unreadable-block", "this box is never closed",
                           f"end it with a line {fence.markup}")  # fmt: skip
            _merge(into, self._inside(fence.content, fence.line + 1, fence.line, depth))
            return
        if self._owed:
            self._owed -= 1
        else:
            self._find(fence.line, "unreadable-block", f"this {fence.markup} closes nothing",
                       "remove it, or name the block that it opens")  # fmt: skip
        if self._rescues < _MOST_RESCUES:
            self._rescues += 1
            self._run(fence.rest(0), fence.line + 1, depth, into)

    def _foreign(
        self, name: str, argument: str, content: str, line: int, depth: int, into: _Found
    ) -> None:
        if name in CONTAINERS:
            if argument and name not in _UNTITLED:
                self._inline(argument, line, into)
            split = split_options(content)
            _merge(into, self._inside(split.body, line + 1 + split.body_offset, line, depth))
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
        if kind.body is Body.DATA:
            yaml = compose(content, self._page, line + 1)
            self._findings.extend(yaml.findings)
            return Block(kind.name, title, place, end, yaml.tree, lost=yaml.lost,
                         readable=yaml.readable)  # fmt: skip
        return self._text_block(kind, title, place, end, content, depth)

    def _text_block(
        self, kind: BlockKind, title: Scalar, place: Place, end: int, content: str, depth: int
    ) -> Block:
        line = place.line
        split = split_options(content)
        if not split.closed:
            self._find(line, "unreadable-block", "the options begin with `---` but never end",
                       "close them with a second line `---`")  # fmt: skip
        yaml = compose(split.yaml, self._page, line + 1 + split.yaml_offset)
        self._findings.extend(yaml.findings)
        body_line = line + 1 + split.body_offset
        found = _Found()
        if kind.body is Body.TEXT:
            if kind.argument == "title":
                self._inline(title, line, found)
            _merge(found, self._inside(split.body, body_line, line, depth))
        elif kind.body is Body.DERIVED and split.body:
            self._find(body_line, "unknown-field", f"`{{{kind.name}}}` holds options only",
                       "move the text out of the block")  # fmt: skip
        return Block(
            kind.name,
            title,
            place,
            end,
            yaml.tree,
            split.body,
            body_line,
            tuple(found.blocks),
            tuple(found.roles),
            tuple(found.prose),
            tuple(found.fences),
            lost=yaml.lost,
            readable=yaml.readable and split.closed,
        )

    def _find(self, line: int, check: str, message: str, hint: str) -> None:
        self._findings.append(Finding(Place(self._page, line), check, message, hint))


def _merge(into: _Found, inner: _Found) -> None:
    into.blocks += inner.blocks
    into.roles += inner.roles
    into.prose += inner.prose
    into.fences += inner.fences
