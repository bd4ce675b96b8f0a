"""Text that is nothing but paragraphs, told without the Markdown parser: most bodies of steps."""

from __future__ import annotations

import re

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
