"""What is read without a parser: the plainest YAML, plain paragraphs, text with only roles in it.

Options and bodies of steps are so, and there are very many: without this, reading takes more than
twice as long. Anything else is left to the parser, and while the shortcuts are :func:`barred` all
is; what is read here reads the same there.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from procedures_lib.language.reading.page import HIDDEN, Role, Scalar, Tree

_OPEN = ContextVar("open", default=True)


@contextmanager
def barred() -> Iterator[None]:
    """Leave everything to the parsers meanwhile, for a test that compares both ways."""
    token = _OPEN.set(False)
    try:
        yield
    finally:
        _OPEN.reset(token)


_KEY = r"[a-z]{1,40}(?:-[a-z]{1,40}){0,4}"
_SIGNS = r"A-Za-z0-9._/()=+°·\-"
"""What has no meaning of its own to YAML inside a text without quotes."""
_WORDS = rf"[A-Za-z0-9](?:[{_SIGNS} ]*[{_SIGNS}])?"
_ALONE = rf"[A-Za-z0-9](?:[{_SIGNS}, ]*[{_SIGNS}])?"
"""Outside brackets a comma has no meaning either."""
_ITEM = rf"  - +{_ALONE} *(?:\n|\Z)"
_ENTRY = re.compile(
    rf"({_KEY}):(?: +(?:({_ALONE})|\[ *({_WORDS}(?: *, *{_WORDS})*) *\]) *(?:\n|\Z)"
    rf"| *\n((?:{_ITEM})+))"
)


def plain_mapping(text: str, first: int) -> dict[Scalar, Tree] | None:
    """Return the mapping that a plain text says; None for any other text, and for an empty one.

    ``first`` is the page's line on which the text begins.
    """
    if not _OPEN.get():
        return None
    pairs: dict[Scalar, Tree] = {}
    at, line = 0, first
    while at < len(text):
        match = _ENTRY.match(text, at)
        if match is None or match[1] in pairs:
            return None
        key, words, within, below = match.groups()
        name = Scalar(key, line)
        line += 1
        if words:
            pairs[name] = Scalar(words, name.line)
        elif within:
            pairs[name] = [Scalar(item.strip(), name.line) for item in within.split(",")]
        else:
            items = below.rstrip("\n").split("\n")
            pairs[name] = [Scalar(item[4:].strip(), line + n) for n, item in enumerate(items)]
            line += len(items)
        at = match.end()
    return pairs or None


_LINE = r"""(?:[^\W\d_]|[{"'“‘])[^\n]*(?:\n|\Z)"""
_PLAIN = re.compile(rf"(?:{_LINE}|[ \t]*\n)*[ \t]*\Z")
_PARAGRAPH = re.compile(rf"(?:{_LINE})+")


def plain_paragraphs(text: str) -> list[tuple[int, str]] | None:
    """Return the paragraphs, each with its first line (from 0); None when there may be more.

    A line that begins with a letter, a quote or a role, and is not indented, is a line of a
    paragraph whatever stands above it (CommonMark 0.31.2, section 4: no other block begins so; nor
    does any of MyST).
    """
    if not (_OPEN.get() and _PLAIN.match(text)):
        return None
    found: list[tuple[int, str]] = []
    line = seen = 0
    for match in _PARAGRAPH.finditer(text):
        line += text.count("\n", seen, match.start())
        seen = match.start()
        words = match[0].rstrip(" \t\n")
        if words[-1].isspace():  # versions of the parser differ on what else they strip
            return None
        found.append((line, words))
    return found


_MORE_THAN_TICKS = re.compile(r"[<\[\\&*_!]|``|\s\n|\n\s")
_TICKED = re.compile(r"(?:\{([a-zA-Z0-9_+:-]+)\})?`([^`]+)`")


def ticked_words(text: str, line: int, roles: list[Role]) -> str | None:
    """Note the roles of a text with roles and code only, and return its words; None for others.

    What the parser would find, told without it: a mark opens, the next one closes.
    """
    if text.count("`") % 2 or _MORE_THAN_TICKS.search(text) or not _OPEN.get():
        return None
    words: list[str] = []
    at, seen = line, 0
    for match in _TICKED.finditer(text):
        start, end = match.span()
        at += text.count("\n", seen, start)
        name, inner = match.groups()
        if name:
            roles.append(Role(name, Scalar(inner.replace("\n", " ").strip(), at)))
        breaks = text.count("\n", start, end)
        words += text[seen:start], HIDDEN, "\n" * breaks
        at, seen = at + breaks, end
    return "".join((*words, text[seen:]))
