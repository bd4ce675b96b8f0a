"""One run of inline text to its roles and the words that a reader of the page sees."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.reading.markdown import inline_tokens
from procedures_lib.reading.page import Prose, Role
from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from markdown_it.token import Token

HIDDEN = "\ufffc"
_MARKS = frozenset("`<[\\&")


def note_inline(
    content: str, line: int, roles: list[Role], prose: list[Prose]
) -> list[tuple[int, str]]:
    """Note the roles of a text that begins on line ``line``, and its words.

    Roles and code are replaced by U+FFFC, HTML is left out; line breaks stay where they are.
    Return the pieces of HTML, each with its line.
    """
    html: list[tuple[int, str]] = []
    if not _MARKS & set(content):
        prose.append(Prose(content, line))
        return html
    words: list[str] = []
    at, seen = line, 0
    for token in inline_tokens(content):
        start, end = token.meta.get("start", seen), token.meta.get("end", seen)
        at += content.count("\n", seen, start)
        if token.type == "myst_role":
            roles.append(Role(token.meta["name"], Scalar(token.content.strip(), at)))
        if token.type == "html_inline":
            html.append((at, token.content))
        at += content.count("\n", start, end)
        seen = end
        words.append(_words(token, content.count("\n", start, end)))
    prose.append(Prose("".join(words), line))
    return html


def _words(token: Token, breaks: int) -> str:
    if token.type in {"myst_role", "code_inline"}:
        return HIDDEN + "\n" * breaks
    if token.type == "html_inline":
        return "\n" * breaks
    return "\n" if token.type in {"softbreak", "hardbreak"} else token.content
