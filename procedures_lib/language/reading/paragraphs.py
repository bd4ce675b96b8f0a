"""Text as plain paragraphs of words and roles: for paper and for programs, which show no markup."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.language.reading.allow_list import DIRECTIVES
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS
from procedures_lib.language.reading.directive import parts_of
from procedures_lib.language.reading.markdown import block_tokens, inline_tokens
from procedures_lib.language.reading.shortcuts import plain_paragraphs

if TYPE_CHECKING:
    from markdown_it.token import Token

_DIRECTIVE = re.compile(r"\{([^\s}]+)\}")
_NAMED = re.compile(r"(.+?)\s*<[^<>]+>$", re.DOTALL)
_DEEPEST = 8
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
    plain = plain_paragraphs(body)
    if plain is None:
        return tuple(part for part in _paragraphs(body, depth) if part)
    return tuple(_inline(part) for _, part in plain)


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
