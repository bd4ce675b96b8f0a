"""A fence as the Markdown parser found it, and whether it was closed where its writer meant."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from markdown_it.token import Token

_LINE = re.compile(r" {0,3}(`{3,}|~{3,}|:{3,})\s*(.*)$")
_NAMED = re.compile(r"\{([^\s}]+)\}")


class Fenced:
    """A fence from line ``line`` to line ``end`` of a page, with all that stands inside it."""

    def __init__(self, token: Token, line: int, end: int, last: str) -> None:
        """Take the token, the page's lines it spans, and the text of the last of them."""
        self.line = line
        self.end = end
        self.info = token.info
        self.content = token.content
        self.markup = token.markup
        mark = last.strip().lstrip("> ")
        fit = set(mark) == {self.markup[0]} and len(mark) >= len(self.markup)
        self.closed = end > line and fit

    def opening_inside(self) -> int | None:
        """Return the first content line (from 0) that opens a block which this fence can't hold.

        A block inside another needs a shorter fence: one as long ends the outer one too early, so
        that the outer one was left open. Lines of a code example inside do not count.
        """
        code = ""
        for n, text in enumerate(self._lines()):
            match = _LINE.match(text)
            if not match:
                continue
            mark, rest = match.groups()
            if code:
                code = "" if mark.startswith(code) and not rest else code
            elif mark[0] == self.markup[0] and len(mark) >= len(self.markup):
                if _NAMED.match(rest):
                    return n
            elif mark[0] != ":" and not _NAMED.match(rest):
                code = mark
        return None

    def name_inside(self, line: int) -> str:
        """Return the name of the block that a content line opens."""
        match = _NAMED.search(self._lines()[line])
        return match[1] if match else ""

    def before(self, line: int) -> str:
        """Return the content above a content line."""
        return "\n".join(self._lines()[:line])

    def rest(self, line: int) -> str:
        """Return the content from a content line on, with the line that closed the fence."""
        return "\n".join([*self._lines()[line:], *([self.markup] if self.closed else [])])

    def _lines(self) -> list[str]:
        return self.content.removesuffix("\n").split("\n")
