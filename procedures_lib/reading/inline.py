"""One run of inline text to its roles and the words that a reader of the page sees."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from procedures_lib.reading.markdown import POINTING, inline_tokens
from procedures_lib.reading.page import Pointer, Prose, Role
from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from markdown_it.token import Token

HIDDEN = "\ufffc"
_MARKS = re.compile(r"[`<\[\\&]")
_MORE_THAN_TICKS = re.compile(r"[<\[\\&*_!]|``|\s\n|\n\s")
_TICKED = re.compile(r"(?:\{([a-zA-Z0-9_+:-]+)\})?`([^`]+)`")


class Led(NamedTuple):
    """What a text holds beside words and roles: pieces of HTML with their lines, and pointers.

    ``unread`` are the lines of pictures whose address stands elsewhere.
    """

    html: list[tuple[int, str]]
    pointers: list[Pointer]
    unread: list[int]


def note_inline(content: str, line: int, roles: list[Role], prose: list[Prose]) -> Led:
    """Note the roles of a text that begins on line ``line``, and its words.

    Roles and code are replaced by U+FFFC, HTML is left out; line breaks stay where they are.
    """
    if not _MARKS.search(content):
        prose.append(Prose(content, line))
        return Led([], [], [])
    if content.count("`") % 2 == 0 and not _MORE_THAN_TICKS.search(content):
        prose.append(Prose(_note_ticked(content, line, roles), line))
        return Led([], [], [])
    return _note_parsed(content, line, roles, prose)


def _note_parsed(content: str, line: int, roles: list[Role], prose: list[Prose]) -> Led:
    led = Led([], [], [])
    words: list[str] = []
    at, seen = line, 0
    for token in inline_tokens(content):
        if token.type in POINTING:
            below = content.count("\n", 0, token.meta["begins"])
            led.pointers.append(_pointer(token, line + below))
        start, end = token.meta.get("start", seen), token.meta.get("end", seen)
        at += content.count("\n", seen, start)
        if token.type == "myst_role":
            roles.append(Role(token.meta["name"], Scalar(token.content.strip(), at)))
        if token.type == "html_inline":
            led.html.append((at, token.content))
        if token.type == "text" and "![" in token.content:
            led.unread.append(at)
        at += content.count("\n", start, end)
        seen = end
        words.append(_words(token, content.count("\n", start, end)))
    prose.append(Prose("".join(words), line))
    return led


def _pointer(token: Token, line: int) -> Pointer:
    if token.type == "footnote_ref":
        return Pointer("footnote-mark", token.meta["label"], line)
    if token.type == "image":
        return Pointer("picture", str(token.attrGet("src") or ""), line)
    return Pointer("link", str(token.attrGet("href") or ""), line)


def _note_ticked(content: str, line: int, roles: list[Role]) -> str:
    """Note the roles of a text with roles and code only, and return its words.

    What the parser would find, told without it: a mark opens, the next one closes.
    """
    words: list[str] = []
    at, seen = line, 0
    for match in _TICKED.finditer(content):
        start, end = match.span()
        at += content.count("\n", seen, start)
        name, text = match.groups()
        if name:
            roles.append(Role(name, Scalar(text.replace("\n", " ").strip(), at)))
        breaks = content.count("\n", start, end)
        words += content[seen:start], HIDDEN, "\n" * breaks
        at, seen = at + breaks, end
    return "".join((*words, content[seen:]))


def _words(token: Token, breaks: int) -> str:
    if token.type in {"myst_role", "code_inline"}:
        return HIDDEN + "\n" * breaks
    if token.type == "html_inline":
        return "\n" * breaks
    return "\n" if token.type in {"softbreak", "hardbreak"} else token.content
