"""Bytes of a page to its text: encoding, line ends, size."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.findings import Finding, Place

LARGEST = 2_000_000
"""The most bytes a page may have; the longest procedure of the demo has under 40,000."""

_HIDDEN = re.compile("[\x01-\x08\x0b\x0e-\x1f\x7f\u202a-\u202e\u2066-\u2069]")
"""Controls of terminals and of the direction of writing (Unicode 15, 23.1 and 23.2)."""

MOST_CELLS = 200_000
"""The most bars of a line of a page, times its lines."""

_NO_TEXT = {"\x00": "NUL", "\ue000": "private", "\ue001": "private"}
"""Signs that stand for nothing a reader can see; the site marks its own links with two of them."""


def page_text(raw: bytes, page: str) -> tuple[str, list[Finding]]:
    """Return the text of a page with plain line ends and no byte-order mark, and what is wrong.

    A page that is too large or not UTF-8 gives an empty text and one ``unreadable-page``.
    """
    if len(raw) > LARGEST:
        return "", [_too_large(page)]
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return "", [_not_utf8(raw, error, page)]
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if odd := next((sign for sign in _NO_TEXT if sign in text), ""):
        line = text.count("\n", 0, text.index(odd)) + 1
        said = f"the page holds a {_NO_TEXT[odd]} character"
        found = Finding(Place(page, line), "unreadable-page", said, "save it as plain UTF-8 text")
        return "", [found]
    if cells := _too_many_cells(text):
        said = f"a line of {cells} `|` on a page of so many lines"
        return "", [
            Finding(Place(page, 1), "unreadable-page", said, "split the table, or the page")
        ]
    return text, list(_hidden_signs(text, page))


def _hidden_signs(text: str, page: str) -> Iterator[Finding]:
    """Yield the first sign that no reader sees, and that turns or erases what stands beside it."""
    match = _HIDDEN.search(text)
    if match:
        line = text.count("\n", 0, match.start()) + 1
        said = f"a hidden character, U+{ord(match[0]):04X}, stands on this line"
        yield Finding(Place(page, line), "unseen-text", said, "type the line anew")


def _too_many_cells(text: str) -> int:
    """Return the most bars of a line when tables on the page could have too many cells, else 0.

    A table has as many cells in each row as in its first, whether they are written or not.
    """
    lines = [line for line in text.split("\n") if line.strip()]
    most = max((line.count("|") for line in lines), default=0)
    return most if most * len(lines) > MOST_CELLS else 0


def _too_large(page: str) -> Finding:
    return Finding(
        Place(page, 1),
        "unreadable-page",
        f"the page has more than {LARGEST:,} bytes",
        "split it into several procedures, and keep pictures and data in files of their own",
    )


def _not_utf8(raw: bytes, error: UnicodeDecodeError, page: str) -> Finding:
    line = raw.count(b"\n", 0, error.start) + 1
    return Finding(
        Place(page, line),
        "unreadable-page",
        f"the page is not UTF-8: byte 0x{raw[error.start]:02x} on this line",
        "save the page as UTF-8",
    )
