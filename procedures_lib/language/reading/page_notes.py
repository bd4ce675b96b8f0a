"""What a page's text gives besides its blocks: findings, pointers, settings, roles and words."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote

from procedures_lib.findings import Finding, Place
from procedures_lib.language.reading.allow_list import (
    TAKE_OUT,
    Fault,
    address_fault,
    is_path,
    settings_above,
)
from procedures_lib.language.reading.markdown import (
    POINTING,
    block_tokens,
    inline_tokens,
    raw_in_html,
)
from procedures_lib.language.reading.page import (
    HIDDEN,
    Block,
    Fence,
    Pointer,
    Prose,
    Role,
    Scalar,
    Section,
)
from procedures_lib.language.reading.shortcuts import ticked_words

if TYPE_CHECKING:
    from markdown_it.token import Token

_MARKS = re.compile(r"[`<\[\\&]")
_LONGEST_RUN = 20_000
_MOST = 500
"""The most headings of a page, and the most footnotes."""


@dataclass(slots=True)
class Run:
    """What has been met so far in one run of text; ``boxes`` are its directives and their lines."""

    blocks: list[Block] = field(default_factory=list)
    roles: list[Role] = field(default_factory=list)
    prose: list[Prose] = field(default_factory=list)
    fences: list[Fence] = field(default_factory=list)
    sections: list[Section] = field(default_factory=list)
    boxes: list[tuple[str, int]] = field(default_factory=list)

    def take(self, inner: Run) -> None:
        """Take in what was met in a box inside the run."""
        self.blocks += inner.blocks
        self.roles += inner.roles
        self.prose += inner.prose
        self.fences += inner.fences

    def held(self) -> dict[str, tuple[Any, ...]]:
        """Return what a block or a page holds of it, by the names of their fields."""
        return {name: tuple(getattr(self, name)) for name in ("blocks", "roles", "prose", "fences")}


class PageNotes:
    """The findings, pointers and settings of one page; ``outer`` is the block being read."""

    def __init__(self, page: str, findings: list[Finding]) -> None:
        self.page = page
        self.findings = findings
        self.pointers: list[Pointer] = []
        self.settings: tuple[str, ...] = ()
        self.outer = ""
        self._definitions: dict[str, int] = {}

    def find(self, line: int, check: str, message: str, hint: str) -> None:
        """Note a finding on a line of the page."""
        self.findings.append(Finding(Place(self.page, line), check, message, hint))

    def tell(self, line: int, *faults: Fault) -> None:
        """Pass on what the judge of the closed list found in something that begins on a line."""
        for fault in faults:
            self.find(line + fault.line, fault.check, fault.message, fault.hint)

    def lead(self, pointer: Pointer) -> None:
        """Note where a text leads, and find an address that is not allowed."""
        target = pointer.target
        if pointer.kind in {"link", "picture", "entry", "glob"}:
            target = unquote(target) if pointer.kind in {"link", "picture"} else target
            fault = address_fault(target, pointer.kind == "picture")
            if fault is not None:
                self.tell(pointer.line, fault)
                return
            if not is_path(target):
                return
        self.pointers.append(Pointer(pointer.kind, target, pointer.line, self.outer))

    def tokens(self, text: str, first: int) -> list[Token]:
        """Parse the block structure, and note where the addresses that it defines lead."""
        defined: dict[str, Any] = {}
        tokens = block_tokens(text, defined)
        for label, definition in defined.get("references", {}).items():
            line = first + definition["map"][0]
            self.lead(Pointer("link", definition["href"], line))
            if label in self._definitions:
                self._find_double(label, line)
            self._definitions[label] = line
        for double in defined.get("duplicate_refs", []):
            self._find_double(double["label"], first + double["map"][0])
        return tokens

    def _find_double(self, label: str, line: int) -> None:
        self.find(line, "stands-twice", f"the address of `[{label.lower()}]` stands twice",
                  "remove one of the two, or give it another name")  # fmt: skip

    def inline(self, content: str, line: int, into: Run) -> None:
        """Note the roles, words, links and HTML of a text that begins on a line.

        In its words, roles and code are replaced by U+FFFC, HTML is left out; line breaks stay
        where they are.
        """
        if len(content) > _LONGEST_RUN:
            self.find(line, "unreadable-page", f"a paragraph of {len(content):,} characters",
                      f"at most {_LONGEST_RUN:,} are read: part it with blank lines")  # fmt: skip
            return
        words: str | None = content
        if _MARKS.search(content):
            words = ticked_words(content, line, into.roles)
        if words is None:
            words = self._parsed(content, line, into.roles)
        into.prose.append(Prose(words, line))

    def _parsed(self, content: str, line: int, roles: list[Role]) -> str:
        """Note what the parser finds in a text, and return its words."""
        words: list[str] = []
        at, seen, told = line, 0, False
        for token in inline_tokens(content):
            if token.type in POINTING:
                self.lead(_pointer(token, line + content.count("\n", 0, token.meta["begins"])))
            start, end = token.meta.get("start", seen), token.meta.get("end", seen)
            at += content.count("\n", seen, start)
            if token.type == "myst_role":
                roles.append(Role(token.meta["name"], Scalar(token.content.strip(), at)))
            elif token.type == "html_inline":
                told = told or self._find_html(token.content, at)
            elif token.type == "text" and "![" in token.content:
                self.find(at, "broken-link", "a picture without its path beside it",
                          "write ![what it shows](path/below/the/manual.png)")  # fmt: skip
            breaks = content.count("\n", start, end)
            at, seen = at + breaks, end
            words.append(_words(token, breaks))
        return "".join(words)

    def mark(self, token: Token, line: int, *, inside: bool) -> None:
        """Take what is neither text nor fence: HTML, settings, labels, footnotes.

        ``inside`` tells that it stands in a block, where there are no settings.
        """
        if token.type == "html_block":
            self._find_html(token.content, line)
        elif token.type == "front_matter" and (inside or token.level):
            self.find(line, "wrong-shape", "what begins with `---` here is taken for settings",
                      "write a blank line or some words before it")  # fmt: skip
        elif token.type == "front_matter":
            settings = settings_above(token.content)
            self.settings = tuple(settings.values)
            self.tell(line, *settings.faults)
        elif token.type == "myst_target":
            self.lead(Pointer("label", token.content, line))
        elif token.type == "footnote_reference_open":
            self.lead(Pointer("footnote", token.meta["label"], line))

    def _find_html(self, html: str, line: int) -> bool:
        """Find what a piece of HTML holds besides comments; tell whether there is something."""
        tag = raw_in_html(html)
        if tag:
            self.find(line, "raw-html", f"HTML on the page: `{tag}`", TAKE_OUT)
        return bool(tag)

    def count(self, sections: list[Section]) -> None:
        """Find that a page has more headings or footnotes than anybody can look through."""
        notes = [pointer.line for pointer in self.pointers if pointer.kind == "footnote"]
        for kind, lines in (("headings", [s.line for s in sections]), ("footnotes", notes)):
            if len(lines) > _MOST:
                self.find(lines[_MOST], "unreadable-page", f"more than {_MOST} {kind}",
                          "split the page")  # fmt: skip


def _pointer(token: Token, line: int) -> Pointer:
    if token.type == "footnote_ref":
        return Pointer("footnote-mark", token.meta["label"], line)
    if token.type == "image":
        return Pointer("picture", str(token.attrGet("src") or ""), line)
    return Pointer("link", str(token.attrGet("href") or ""), line)


def _words(token: Token, breaks: int) -> str:
    if token.type in {"myst_role", "code_inline"}:
        return HIDDEN + "\n" * breaks
    if token.type == "html_inline":
        return "\n" * breaks
    return "\n" if token.type in {"softbreak", "hardbreak"} else token.content
