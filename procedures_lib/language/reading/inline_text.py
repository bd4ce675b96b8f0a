"""Inline text: its roles, the words that a reader of the page sees, plain paragraphs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from procedures_lib.language.reading.allow_list import DIRECTIVES, parts_of
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS
from procedures_lib.language.reading.markdown import POINTING, block_tokens, inline_tokens
from procedures_lib.language.reading.page import Pointer, Prose, Role, Scalar

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


_DIRECTIVE = re.compile(r"\{([^\s}]+)\}")
_NAMED = re.compile(r"(.+?)\s*<[^<>]+>$", re.DOTALL)
_DEEPEST = 8
_BLOCK_MARK = re.compile(r"^ {0,3}(?:[-*+>#|:~=`<\[(%_!]|\d+[.)]|\t| )", re.MULTILINE)
"""How a line begins that may be more than a line of a paragraph."""

_BLANK = re.compile(r"\n[ \t]*\n\s*")
_SOFT_BREAK = re.compile(r" ?\n *")
_INLINE_MARKS = frozenset("`<[\\&*_")
_SHOWN = frozenset({"text", "text_special", "code_inline", "image"})


@dataclass(frozen=True, slots=True)
class Words:
    """A piece of a paragraph: plain text, or what stands in a role (``role`` is its name)."""

    text: str
    role: str = ""


Paragraph = tuple[Words, ...]
"""One paragraph, list item, table row or example of code; line ends only where they are kept."""


def paragraphs(body: str, depth: int = 0) -> tuple[Paragraph, ...]:
    """Return the paragraphs of a text in reading order.

    Blocks of the page language inside it are left out: whoever needs them has them as blocks.
    """
    text = body.strip("\n")
    if _BLOCK_MARK.search(text) or "\n   " in text or "\n\t" in text:
        return tuple(part for part in _paragraphs(body, depth) if part)
    return tuple(_inline(part) for each in _BLANK.split(text) if (part := each.strip(" \t\n")))


def _paragraphs(body: str, depth: int) -> Iterator[Paragraph]:
    marks: list[str] = []
    cells: list[Words] | None = None
    for token in block_tokens(body):
        if token.type == "list_item_open":
            marks.append(f"{token.info}. " if token.info else "• ")
        elif token.type == "tr_open":
            cells = []
        elif token.type == "tr_close":
            yield tuple(cells or ())
            cells = None
        elif token.type == "inline":
            words = _inline(token.content)
            if cells is None:
                yield (Words("".join(marks)), *words) if marks else words
                marks.clear()
            else:
                cells += [Words(" | "), *words] if cells else list(words)
        else:
            yield from _fenced(token, depth)


def _fenced(token: Token, depth: int) -> Iterator[Paragraph]:
    """The text of a box or a foreign directive; the lines of an example of code."""
    if token.type not in {"fence", "colon_fence", "code_block"}:
        return
    directive = _DIRECTIVE.match(token.info.strip())
    name = directive[1] if directive else ""
    if name in BLOCK_KINDS:
        return
    if _holds_text(name) or (not name and token.type == "colon_fence"):
        inner = parts_of(token.content).body if name else token.content
        yield from paragraphs(inner, depth + 1) if depth < _DEEPEST else ()
    elif token.type != "colon_fence" and not name:
        yield (Words(token.content.rstrip("\n")),)


def _holds_text(name: str) -> bool:
    return name in DIRECTIVES and DIRECTIVES[name].body in {"text", "items", "caption"}


def _inline(content: str) -> Paragraph:
    if not _INLINE_MARKS & set(content) and "  \n" not in content:
        return (Words(_SOFT_BREAK.sub(" ", content)),)
    words: list[Words] = []
    for token in inline_tokens(content):
        if token.type == "myst_role":
            words.append(Words(token.content.strip(), token.meta["name"]))
        elif text := _text(token):
            words.append(Words(text))
    return tuple(words)


def _text(token: Token) -> str:
    if token.type == "softbreak":
        return " "
    if token.type == "hardbreak":
        return "\n"
    return token.content if token.type in _SHOWN else ""


def shown_text(target: str) -> str:
    """Return the words of a role that is not of the page language: those before ``<target>``."""
    match = _NAMED.match(target)
    return match[1] if match else target
