"""What is read without a parser: the plainest YAML, and text that is nothing but paragraphs.

Options of steps are so, and there are very many. Anything else is left to the parser; what is read
here reads the same there.
"""

from __future__ import annotations

import re

from procedures_lib.language.reading.page import Scalar, Tree

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
    if not _PLAIN.match(text):
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
