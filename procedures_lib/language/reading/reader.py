"""Text of one page to its blocks, roles, prose and code examples, each with its line."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.findings import Place
from procedures_lib.language.reading.allow_list import (
    DIRECTIVES,
    Directive,
    Fault,
    address_fault,
    block_faults,
    language_faults,
)
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, BlockKind, Body, split_options
from procedures_lib.language.reading.block_yaml import Composed, compose
from procedures_lib.language.reading.directive import (
    Parts,
    body_faults,
    contents_entries,
    directive_faults,
    hidden_faults,
    nesting_faults,
    parts_of,
)
from procedures_lib.language.reading.markdown import Fenced
from procedures_lib.language.reading.page import Block, Fence, Page, Pointer, Scalar, Section
from procedures_lib.language.reading.page_notes import PageNotes, Run
from procedures_lib.language.reading.page_text import filled, page_text
from procedures_lib.language.reading.shortcuts import plain_paragraphs
from procedures_lib.spelling import nearest

if TYPE_CHECKING:
    from markdown_it.token import Token


_DIRECTIVE = re.compile(r"\{([^\s}]+)\}(\s*)(.*)$")
_NOT_INSIDE = frozenset(
    ["step", "common-steps", "rule", *(k.name for k in BLOCK_KINDS.values() if k.body is Body.DATA)]
) - {"picture"}
"""Blocks that never belong inside another of the page language."""
DEEPEST_BLOCKS = 8
_MOST_RESCUES = 20


def read_page(raw: bytes, name: str) -> Page:
    """Read one page; never raises, whatever the bytes: what is wrong is among the findings.

    ``name`` is the page's path below the manual's folder, with forward slashes.
    """
    written, findings = page_text(raw, name)
    text, blanks = filled(written)
    notes = PageNotes(name, findings)
    reader = _Reader(notes)
    found = reader.read(text)
    notes.count(found.sections)
    title = next((section.title for section in found.sections if section.level == 1), "")
    return Page(
        name,
        title,
        sections=tuple(found.sections),
        findings=tuple(findings),
        pointers=tuple(notes.pointers),
        settings=notes.settings,
        blanks=blanks,
        **found.held(),
    )


class _Reader:
    """Reads the text of one page, and of the bodies inside it."""

    def __init__(self, notes: PageNotes) -> None:
        self._notes = notes
        self._find = notes.find
        self._tell = notes.tell
        self._rescues = 0
        self._owed = 0
        self._hidden: set[int] = set()

    def read(
        self, text: str, first: int = 1, depth: int = 0, outer: Directive | None = None
    ) -> Run:
        """Read a run of MyST that begins on a line of the page, inside a directive or in none."""
        found = Run()
        self._run(text, first, depth, found)
        self._tell(0, *nesting_faults(outer, found.boxes))
        return found

    def _run(self, text: str, first: int, depth: int, into: Run) -> None:
        paragraphs = plain_paragraphs(text)
        if paragraphs is not None:
            for below, content in paragraphs:
                self._notes.inline(content, first + below, into)
            return
        lines = text.split("\n")
        heading = 0
        for token in self._notes.tokens(text, first):
            line = first + (token.map[0] if token.map else 0)
            if token.type in {"fence", "colon_fence"}:
                self._fence(token, lines, first, depth, into)
            elif token.type == "heading_open":
                heading = int(token.tag[1:])
            elif token.type == "inline":
                if heading:
                    into.sections.append(Section(heading, token.content, line))
                    heading = 0
                self._notes.inline(token.content, line, into)
            else:
                self._notes.mark(token, line, inside=depth > 0)

    # -- fences --------------------------------------------------------------------------------

    def _fence(self, token: Token, lines: list[str], first: int, depth: int, into: Run) -> None:
        start, stop = token.map or [0, 0]
        fence = Fenced(token, first + start, first + stop - 1, lines[stop - 1])
        match = _DIRECTIVE.match(token.info.strip())
        if match:
            self._directive(match, fence, depth, into)
        elif token.type == "fence":
            self._code(fence, into)
        else:
            self._box(fence, depth, into)

    def _directive(self, match: re.Match[str], fence: Fenced, depth: int, into: Run) -> None:
        name, argument = match[1], match[3].strip()
        if argument and not match[2]:
            self._find(fence.line, "unreadable-block", f"a space is missing after `{{{name}}}`",
                       f"write {fence.markup}{{{name}}} {argument}")  # fmt: skip
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
            into.boxes.append((kind.name, fence.line))
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
        if [fault.check for fault in block_faults(name)] != ["unknown-block"]:
            return None
        near = nearest(name.lower(), BLOCK_KINDS)
        if not near:
            return None
        self._find(line, "unknown-block", f"there is no block `{{{name}}}`",
                   f"did you mean `{near}`?")  # fmt: skip
        return BLOCK_KINDS[near]

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

    def _code(self, fence: Fenced, into: Run) -> None:
        """Note an ordinary code example; a block's name without braces is a slip."""
        words = fence.info.split()
        language = words[0] if words else ""
        into.fences.append(Fence(language, fence.content, fence.line, fence.end))
        if self._unbraced(fence):
            return
        self._tell(fence.line, *language_faults(language))
        if not fence.closed:
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

    def _box(self, fence: Fenced, depth: int, into: Run) -> None:
        """Read what stands between colons without a block's name."""
        name = fence.info.strip()
        if name or (fence.closed and fence.opening_inside() is None):
            if name and not self._unbraced(fence):
                self._find(fence.line, "unknown-block", f"`{name}` is no block here",
                           f"write {fence.markup}{{note}}, or another of the list")  # fmt: skip
            into.boxes.append(("", fence.line))
            into.take(self._inside(fence.content, fence.line + 1, fence.line, depth))
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
        self, name: str, argument: str, content: str, line: int, depth: int, into: Run
    ) -> None:
        """Read a directive that is no block of the page language, if the closed list has it."""
        into.boxes.append((name, line))
        faults = list(block_faults(name))
        self._tell(line, *faults)
        if faults:
            return
        self._tell(line, *directive_faults(name, argument, content))
        allowed, parts = DIRECTIVES[name], parts_of(content)
        if allowed.argument == "text" and argument:
            self._notes.inline(argument, line, into)
        elif allowed.argument == "picture" and address_fault(argument, picture=True) is None:
            self._notes.lead(Pointer("picture", argument, line))
        if allowed.body == "entries" and depth:
            self._find(line, "wrong-shape", f"`{{{name}}}` stands inside a block",
                       "put it on the page itself")  # fmt: skip
        elif allowed.body == "entries":
            self._entries(parts, line)
        elif allowed.body not in {"none", "code"}:
            self._tell(line, *body_faults(allowed, parts.body))
            first = line + 1 + parts.first
            found = self._inside(parts.body, first, line, depth, allowed)
            self._hides(allowed, found)
            into.take(found)

    def _hides(self, allowed: Directive, found: Run) -> None:
        """Find the work and the warnings that a box hides, if none inside it hides them already."""
        seen = [(b.name, b.place.line) for b in found.blocks if b.place.line not in self._hidden]
        if allowed.hides:
            self._hidden.update(line for _, line in seen)
            self._tell(0, *hidden_faults(allowed, seen))

    def _entries(self, parts: Parts, line: int) -> None:
        """Note the lines of a list of contents."""
        for entry in contents_entries(parts, line):
            if isinstance(entry, Fault):
                self._tell(0, entry)
            else:
                self._notes.lead(entry)

    def _inside(
        self, body: str, first: int, line: int, depth: int, outer: Directive | None = None
    ) -> Run:
        if depth < DEEPEST_BLOCKS:
            return self.read(body, first, depth + 1, outer)
        self._find(line, "unreadable-block", "blocks stand too deep inside one another", "flatten")
        return Run()

    def _block(
        self, kind: BlockKind, argument: str, content: str, line: int, end: int, depth: int
    ) -> Block:
        place = Place(self._notes.page, line)
        title = Scalar(argument, line)
        if kind.body is Body.DATA:
            yaml = self._yaml(content, line + 1)
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
        yaml = self._yaml(split.yaml, line + 1 + split.yaml_offset)
        body_line = line + 1 + split.body_offset
        found = Run()
        outer, self._notes.outer = self._notes.outer, self._notes.outer or kind.name
        if kind.body is Body.TEXT:
            if kind.argument == "title":
                self._notes.inline(title, line, found)
            found.take(self._inside(split.body, body_line, line, depth))
        elif kind.body is Body.DERIVED and split.body:
            self._find(body_line, "unknown-field", f"`{{{kind.name}}}` holds options only",
                       "move the text out of the block")  # fmt: skip
        self._notes.outer = outer
        return Block(
            kind.name,
            title,
            place,
            end,
            yaml.tree,
            split.body,
            body_line,
            lost=yaml.lost,
            readable=yaml.readable and split.closed,
            **found.held(),
        )

    def _yaml(self, text: str, first: int) -> Composed:
        composed = compose(text, self._notes.page, first)
        self._notes.findings.extend(composed.findings)
        return composed
