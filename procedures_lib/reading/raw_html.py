"""HTML typed on a page, and addresses that are programs: what would reach a reader unescaped.

Comments are no HTML here. A comment ends where a browser ends it (WHATWG HTML, 13.2.5.43 to
13.2.5.52): at ``-->`` or ``--!>``, and ``<!-->`` and ``<!--->`` are whole ones.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

_COMMENT = re.compile(r"<!--(?:-?>|.*?--!?>)", re.DOTALL)
_TAG = re.compile(r"<[^\s<>]{0,40}")
_PROGRAM = r"(?:java|vb)script[ \t]*:"
_LINK = re.compile(rf"(?:\]\([ \t]*<?|\]:[ \t]*<?|<)[ \t]*{_PROGRAM}", re.IGNORECASE)
_OPTION = re.compile(rf"^[ \t]*:?(?:link|target):[ \t]*[\"']?{_PROGRAM}", re.I | re.M)
_HEAD = re.compile(r"^\s*[\"']?html_meta[\"']?\s*:", re.MULTILINE)
_RAW = frozenset({"raw", "eval-rst", "role", "default-role", "meta"})
"""Directives that bring HTML past the escaping, or that make a role which does."""

TAKE_OUT = "write it in Markdown, or leave it out"
ADDRESS = "link to a page or to a web address"


def raw_in_html(html: str) -> str:
    """Return what stands in a piece of HTML besides comments: its first tag, "" for nothing."""
    rest = _COMMENT.sub("", html)
    found = _TAG.search(rest)
    return found[0] if found else ""


def raw_in_directive(name: str, argument: str, options: str) -> Iterator[tuple[int, str, str]]:
    """Yield the line (from 0, that of the fence), what is wrong in a directive and the remedy."""
    if name in _RAW:
        yield 0, f"`{{{name}}}` brings text onto the page as it is", TAKE_OUT
    if re.match(_PROGRAM, argument.strip(" <"), re.IGNORECASE):
        yield 0, "an address that is a program", ADDRESS
    for match in _OPTION.finditer(options):
        yield 1 + options.count("\n", 0, match.start()), "an address that is a program", ADDRESS


def programs_in(text: str) -> Iterator[int]:
    """Yield the line (from 0) of each link in a text whose address is a program."""
    for match in _LINK.finditer(text):
        yield text.count("\n", 0, match.start())


def raw_in_head(front: str) -> int | None:
    """Return the line (from 0) of a setting above the page that writes into its HTML head."""
    match = _HEAD.search(front)
    return front.count("\n", 0, match.end()) if match else None
