"""Text of one page to its blocks, roles, prose and code examples, each with its line."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from procedures_lib.findings import Finding, Place
from procedures_lib.language.reading.allow_list import (
    DIRECTIVES,
    TAKE_OUT,
    Directive,
    Fault,
    Parts,
    address_fault,
    block_faults,
    directive_faults,
    is_path,
    language_faults,
    parts_of,
    settings_above,
)
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, BlockKind, Body, split_options
from procedures_lib.language.reading.block_yaml import compose
from procedures_lib.language.reading.inline_text import note_inline
from procedures_lib.language.reading.markdown import Fenced, block_tokens, raw_in_html
from procedures_lib.language.reading.page import (
    Block,
    Fence,
    Page,
    Pointer,
    Prose,
    Role,
    Scalar,
    Section,
)
from procedures_lib.language.reading.page_text import page_text
from procedures_lib.language.reading.shortcuts import plain_paragraphs

if TYPE_CHECKING:
    from markdown_it.token import Token


_DIRECTIVE = re.compile(r"\{([^\s}]+)\}(\s*)(.*)$")
_A_SLIP = 0.75
"""How like a block's name another must be to be read as that (difflib ratio)."""
_NOT_INSIDE = frozenset(
    ["step", "common-steps", *(k.name for k in BLOCK_KINDS.values() if k.body is Body.DATA)]
)
"""Blocks that never belong inside another of the page language."""
_TITLED = re.compile(r"(.+?)\s*<([^<]*?)>")
"""A line of a list of contents with a title of its own."""

_WEB = re.compile(r"https?://|(?i:javascript|vbscript|data):")
"""What leads out of a list of contents; programs are told as such."""

DEEPEST_BLOCKS = 8
_MOST_RESCUES = 20
_LONGEST_RUN = 20_000
_MOST = 500
"""The most headings of a page, and the most footnotes."""


@dataclass(slots=True)
class _Found:
    """What has been met so far in one run of text."""

    blocks: list[Block] = field(default_factory=list)
    roles: list[Role] = field(default_factory=list)
    prose: list[Prose] = field(default_factory=list)
    fences: list[Fence] = field(default_factory=list)
    sections: list[Section] = field(default_factory=list)
    boxes: list[tuple[str, int]] = field(default_factory=list)


def read_page(raw: bytes, name: str) -> Page:
    """Read one page; never raises, whatever the bytes: what is wrong is among the findings.

    ``name`` is the page's path below the manual's folder, with forward slashes.
    """
    text, findings = page_text(raw, name)
    reader = _Reader(name, findings)
    found = reader.read(text, 1, 0)
    reader.nest(None, found.boxes)
    reader.count(found.sections)
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
        tuple(reader.pointers),
        reader.settings,
    )


class _Reader:
    """Reads the text of one page, and of the bodies inside it."""

    def __init__(self, page: str, findings: list[Finding]) -> None:
        self._page = page
        self._findings = findings
        self._rescues = 0
        self._owed = 0
        self._definitions: dict[str, int] = {}
        self._outer = ""
        self.pointers: list[Pointer] = []
        self.settings: tuple[str, ...] = ()

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
        for token in self._tokens(text, first):
            line = first + (token.map[0] if token.map else 0)
            if token.type in {"fence", "colon_fence"}:
                self._fence(token, lines, first, depth, into)
            elif token.type == "heading_open":
                heading = int(token.tag[1:])
            elif token.type == "inline":
                if heading:
                    into.sections.append(Section(heading, token.content, line))
                    heading = 0
                self._inline(token.content, line, into)
            else:
                self._mark(token, line, depth)

    def _tokens(self, text: str, first: int) -> list[Token]:
        """Parse the block structure, and note where the addresses that it defines lead."""
        defined: dict[str, Any] = {}
        tokens = block_tokens(text, defined)
        for label, definition in defined.get("references", {}).items():
            line = first + definition["map"][0]
            self._lead(Pointer("link", definition["href"], line))
            if label in self._definitions:
                self._find_double(label, line)
            self._definitions[label] = line
        for double in defined.get("duplicate_refs", []):
            self._find_double(double["label"], first + double["map"][0])
        return tokens

    def _find_double(self, label: str, line: int) -> None:
        self._find(line, "stands-twice", f"the address of `[{label.lower()}]` stands twice",
                   "remove one of the two, or give it another name")  # fmt: skip

    def _inline(self, content: str, line: int, into: _Found) -> None:
        if len(content) <= _LONGEST_RUN:
            led = note_inline(content, line, into.roles, into.prose)
            told = next(((at, html) for at, html in led.html if raw_in_html(html)), None)
            if told is not None:
                self._find_html(told[1], told[0])
            for pointer in led.pointers:
                self._lead(pointer)
            for at in led.unread:
                self._find(at, "broken-link", "a picture without its path beside it",
                           "write ![what it shows](path/below/the/manual.png)")  # fmt: skip
            return
        self._find(line, "unreadable-page", f"a paragraph of {len(content):,} characters",
                   f"at most {_LONGEST_RUN:,} are read: part it with blank lines")  # fmt: skip

    def _lead(self, pointer: Pointer) -> None:
        """Note where a text leads, and find an address that is not allowed."""
        target = pointer.target
        if pointer.kind in {"link", "picture", "entry", "glob"}:
            target = unquote(target) if pointer.kind in {"link", "picture"} else target
            fault = address_fault(target, pointer.kind == "picture")
            if fault is not None:
                self._tell(fault, pointer.line)
                return
            if not is_path(target):
                return
        self.pointers.append(Pointer(pointer.kind, target, pointer.line, self._outer))

    def _mark(self, token: Token, line: int, depth: int) -> None:
        """Take what is neither text nor fence: HTML, settings, labels, footnotes."""
        if token.type == "html_block":
            self._find_html(token.content, line)
        elif token.type == "front_matter" and (depth or token.level):
            self._find(line, "wrong-shape", "what begins with `---` here is taken for settings",
                       "write a blank line or some words before it")  # fmt: skip
        elif token.type == "front_matter":
            settings = settings_above(token.content)
            self.settings = tuple(settings.values)
            for fault in settings.faults:
                self._tell(fault, line)
        elif token.type == "myst_target":
            self._lead(Pointer("label", token.content, line))
        elif token.type == "footnote_reference_open":
            self._lead(Pointer("footnote", token.meta["label"], line))

    def _tell(self, fault: Fault, line: int) -> None:
        """Pass on what the judge of the closed list found in something that begins on a line."""
        self._find(line + fault.line, fault.check, fault.message, fault.hint)

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
        if self._unbraced(fence):
            return
        for fault in language_faults(language):
            self._tell(fault, fence.line)
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

    def _box(self, fence: Fenced, depth: int, into: _Found) -> None:
        """Read what stands between colons without a block's name."""
        stray = not fence.info.strip() and (not fence.closed or fence.opening_inside() is not None)
        if not stray:
            if self._unbraced(fence):
                pass
            elif fence.info.strip():
                self._find(fence.line, "unknown-block", f"`{fence.info.strip()}` is no block here",
                           f"write {fence.markup}{{note}}, or another of the list")  # fmt: skip
            elif not fence.closed:
                self._find(fence.line, "unreadable-block", "this box is never closed",
                           f"end it with a line {fence.markup}")  # fmt: skip
            into.boxes.append(("", fence.line))
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
        """Read a directive that is no block of the page language, if the closed list has it."""
        into.boxes.append((name, line))
        faults = list(block_faults(name))
        for fault in faults:
            self._tell(fault, line)
        if faults:
            return
        for found in directive_faults(name, argument, content):
            self._tell(found, line)
        allowed, parts = DIRECTIVES[name], parts_of(content)
        if allowed.argument == "text" and argument:
            self._inline(argument, line, into)
        elif allowed.argument == "picture" and address_fault(argument, picture=True) is None:
            self._lead(Pointer("picture", argument, line))
        if allowed.body == "entries" and depth:
            self._find(line, "wrong-shape", f"`{{{name}}}` stands inside a block",
                       "put it on the page itself")  # fmt: skip
        elif allowed.body == "entries":
            self._entries(parts, line)
        elif allowed.body not in {"none", "code"}:
            first = line + 1 + parts.first
            self._outermost(allowed, parts.body, line)
            _merge(into, self._inside(parts.body, first, line, depth, allowed))

    def _entries(self, parts: Parts, line: int) -> None:
        """Note the lines of a list of contents."""
        kind = "glob" if any(key == "glob" for _, key, _ in parts.options) else "entry"
        for below, text in enumerate(parts.body.split("\n"), start=1 + parts.first):
            if text.strip():
                self._entry(kind, text, line + below)

    def _entry(self, kind: str, text: str, line: int) -> None:
        titled = _TITLED.fullmatch(text)
        target = titled[2] if titled else text
        other = not is_path(target) and not _WEB.match(target)
        if target != target.strip() or target == "self" or not target or other:
            self._find(line, "wrong-shape", f"`{text.strip()}` names no page",
                       "write a page's path and nothing else, or `Title <path>`")  # fmt: skip
            return
        self._lead(Pointer("entry" if titled else kind, target, line))

    def _outermost(self, allowed: Directive, body: str, line: int) -> None:
        """Find text in a directive that holds others only, and a caption that is no paragraph."""
        if allowed.body not in {"items", "caption"}:
            return
        kinds = [token.type for token in block_tokens(body) if token.level == 0]
        if allowed.body == "items" and not {*kinds} <= {"fence", "colon_fence"}:
            self._find(line, "wrong-shape", f"`{{{allowed.name}}}` holds text of its own",
                       f"it holds only {_listed(allowed.holds)}")  # fmt: skip
        elif allowed.body == "caption" and kinds[:1] not in ([], ["paragraph_open"]):
            self._find(line, "wrong-shape", "the caption of this figure is no paragraph",
                       "begin with a sentence; lists and the like come after it")  # fmt: skip

    def count(self, sections: list[Section]) -> None:
        """Find that a page has more headings or footnotes than anybody can look through."""
        notes = [pointer for pointer in self.pointers if pointer.kind == "footnote"]
        for kind, lines in (("headings", [s.line for s in sections]),
                            ("footnotes", [note.line for note in notes])):  # fmt: skip
            if len(lines) > _MOST:
                self._find(lines[_MOST], "unreadable-page", f"more than {_MOST} {kind}",
                           "split the page")  # fmt: skip

    def nest(self, outer: Directive | None, inner: list[tuple[str, int]]) -> None:
        """Find what may not stand right inside a directive, or outside of any."""
        for name, line in inner:
            within = DIRECTIVES[name].within if name in DIRECTIVES else ()
            if outer and outer.holds and name not in outer.holds:
                self._find(line, "wrong-shape", f"`{{{name}}}` can't stand in `{{{outer.name}}}`",
                           f"it holds only {_listed(outer.holds)}")  # fmt: skip
            elif within and (outer is None or outer.name not in within):
                self._find(line, "wrong-shape", f"`{{{name}}}` stands outside of {_listed(within)}",
                           f"put it into {_listed(within)}")  # fmt: skip

    def _inside(
        self, body: str, first: int, line: int, depth: int, outer: Directive | None = None
    ) -> _Found:
        if depth < DEEPEST_BLOCKS:
            found = self.read(body, first, depth + 1)
            self.nest(outer, found.boxes)
            return found
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
        outer, self._outer = self._outer, self._outer or kind.name
        if kind.body is Body.TEXT:
            if kind.argument == "title":
                self._inline(title, line, found)
            _merge(found, self._inside(split.body, body_line, line, depth))
        elif kind.body is Body.DERIVED and split.body:
            self._find(body_line, "unknown-field", f"`{{{kind.name}}}` holds options only",
                       "move the text out of the block")  # fmt: skip
        self._outer = outer
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


def _listed(names: tuple[str, ...]) -> str:
    return " or ".join(f"`{{{name}}}`" for name in names)


def _merge(into: _Found, inner: _Found) -> None:
    into.blocks += inner.blocks
    into.roles += inner.roles
    into.prose += inner.prose
    into.fences += inner.fences
