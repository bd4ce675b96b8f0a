"""What stands at the cursor of a half-typed page: the page is read with a mark put in there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from procedures_lib.language.reading.page import Block, Page
from procedures_lib.language.reading.page_text import page_text
from procedures_lib.language.reading.reader import read_page
from procedures_lib.language.reading.word_places import Word, block_words, words_of

_MARK = "zcursorz"
"""Stands where the cursor is; an id, a word, a key and the name of a role may hold it."""

_KEY_BEFORE = re.compile(r"\s*(?:- +)?(?::?[a-z][a-z-]*|:|)$")
_ROLE_BEFORE = re.compile(r"\{([a-z]*)$")
_BLOCK_BEFORE = re.compile(r"\s*(`{3,}|:{3,})\{([a-z-]*)$")
_CLOSES = {"{": "}", "[": "]"}


@dataclass(frozen=True, slots=True)
class Spot:
    """The word at the cursor: ``before`` is as much of it as stands before the cursor.

    ``others`` are the other words of its block.
    """

    word: Word
    before: str
    others: tuple[Word, ...] = ()


def block_name_before(before: str) -> str | None:
    """Return the begun name of a block, from what stands on the line before the cursor."""
    match = _BLOCK_BEFORE.match(before)
    return match[2] if match else None


def role_name_before(before: str) -> str | None:
    """Return the begun name of a role."""
    match = _ROLE_BEFORE.search(before)
    return match[1] if match else None


def spots_at(text: str, line: int, column: int) -> Iterator[Spot]:
    """Yield what the word at a place of a text may be, the likeliest first.

    Lines count from 1, columns from 0 in characters. Nothing where the cursor stands in no block's
    YAML, role or argument.
    """
    lines = text.split("\n")
    before, after = lines[line - 1][:column], lines[line - 1][column:]
    for marked in _ways(before, after):
        changed = "\n".join([*lines[: line - 1], marked, *lines[line:]])
        found = _marked(changed, line)
        if found is not None:
            yield found


def _ways(before: str, after: str) -> Iterator[str]:
    """Yield the line with the mark in it, ended as it may be meant, the likeliest first."""
    rest = after.strip()
    if _KEY_BEFORE.match(before) and not rest:
        yield f"{before}{_MARK}: x"
    if before.count("`") % 2 and "`" not in after:
        yield f"{before}{_MARK}`{after}"
    missing = _unclosed(before)
    if missing and not rest:
        yield f"{before}{_MARK}{missing}"
    yield f"{before}{_MARK}{after}"
    if missing:
        yield f"{before}{_MARK}{missing}"


def _unclosed(before: str) -> str:
    """Return the brackets that are open before the cursor, closed."""
    wanted: list[str] = []
    for sign in before:
        if sign in _CLOSES:
            wanted.append(_CLOSES[sign])
        elif wanted and sign == wanted[-1]:
            wanted.pop()
    return "".join(reversed(wanted))


def _marked(text: str, line: int) -> Spot | None:
    plain, _ = page_text(text.encode("utf-8", "replace"), "page.md")
    page = read_page(plain.encode(), "page.md")
    block = _innermost(page, line)
    inside = tuple(block_words(plain.split("\n"), block)) if block else ()
    words = inside if any(_MARK in word.text for word in inside) else words_of(plain, page)
    for word in words:
        at = word.text.find(_MARK)
        if at >= 0:
            others = tuple(other for other in inside if other is not word)
            return Spot(word, word.text[:at], others)
    return None


def _innermost(page: Page, line: int) -> Block | None:
    around = [block for block in page.walk() if block.place.line <= line <= block.end]
    return max(around, key=lambda block: block.place.line, default=None)
