"""Bytes of a page to its text: encoding, line ends, size."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.findings import Finding, Place, SlipError
from procedures_lib.language.reading.page import Blank

_CHECK = "unreadable-page"

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
    try:
        text = _decoded(raw)
    except SlipError as bad:
        return "", [bad.on(page)]
    return text, [*_hidden_signs(text, page), *_merge_marks(text, page)]


_BLANK = re.compile(r"(?:(?<=\}`)|(?<!`))‹([^‹›\n]*), such as ([^‹›\n]*)›(?=(:)?)")
_FENCE = re.compile(r"\s*(`{3,}|~{3,}|:{3,})\s*(.*?)\s*$")


def filled(text: str) -> tuple[str, tuple[Blank, ...]]:
    """Return a page's text with the example in the place of each blank, and the blanks.

    What stands in code, or in a page that is shown as an example, is for people and stays.
    """
    if "‹" not in text:
        return text, ()
    blanks: list[Blank] = []
    lines = text.split("\n")
    for n, (line, shown) in enumerate(zip(lines, _shown(lines), strict=True)):
        if shown or "‹" not in line:
            continue
        for match in _BLANK.finditer(line):
            names = match[3] is not None and not line[: match.start()].strip()
            blanks.append(Blank(n + 1, match[1], match[2], names))
        lines[n] = _BLANK.sub(r"\2", line)
    return "\n".join(lines), tuple(blanks)


def _shown(lines: list[str]) -> Iterator[bool]:
    """Tell of each line whether it stands in code, or in a page shown as an example."""
    open_fences: list[tuple[str, bool]] = []
    for line in lines:
        yield bool(open_fences) and open_fences[-1][1]
        match = _FENCE.match(line)
        if not match:
            continue
        marks, info = match[1], match[2]
        inside = open_fences[-1] if open_fences else ("", False)
        if not info and inside[0] and marks.startswith(inside[0]):
            open_fences.pop()
        elif not inside[1]:
            code = not info.startswith("{") or info.startswith("{page-example}")
            open_fences.append((marks, code))


def _decoded(raw: bytes) -> str:
    if len(raw) > LARGEST:
        hint = "split it into several procedures, and keep pictures and data in files of their own"
        raise SlipError(_CHECK, f"the page has more than {LARGEST:,} bytes", hint, 1)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        said = f"the page is not UTF-8: byte 0x{raw[error.start]:02x} on this line"
        raise SlipError(_CHECK, said, "save the page as UTF-8", line) from None
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if odd := next((sign for sign in _NO_TEXT if sign in text), ""):
        line = text.count("\n", 0, text.index(odd)) + 1
        said = f"the page holds a {_NO_TEXT[odd]} character"
        raise SlipError(_CHECK, said, "save it as plain UTF-8 text", line)
    if cells := _too_many_cells(text):
        said = f"a line of {cells} `|` on a page of so many lines"
        raise SlipError(_CHECK, said, "split the table, or the page", 1)
    return text


def _hidden_signs(text: str, page: str) -> Iterator[Finding]:
    """Yield the first sign that no reader sees, and that turns or erases what stands beside it."""
    match = _HIDDEN.search(text)
    if match:
        line = text.count("\n", 0, match.start()) + 1
        said = f"a hidden character, U+{ord(match[0]):04X}, stands on this line"
        yield Finding(Place(page, line), "unseen-text", said, "type the line anew")


_MERGE_MARK = re.compile(
    r"^(?:[>:|\t ]*(?:<{7}|(?<!>)>{7})(?: .*)?|\|{7} [^|\n]+|={7}[ \t]*)$", re.MULTILINE
)
"""The marks that ``git merge`` writes: two sides, the line between, what both came from."""

_CLOSING_FENCE = re.compile(r"\s*(?::{3,}|`{3,})[ \t]*(?:\n|$)")

_OPENING_FENCE = re.compile(r"`{3,}(?!\{)")

_SHOWN = re.compile(r"^(`{3,}|:{3,})\{page-example\}.*?^\1[ \t]*$", re.MULTILINE | re.DOTALL)
"""A page shown as an example, which is read by itself."""


def has_merge_mark(line: str) -> bool:
    """Tell whether a line of a file, other than a page, is a mark that a merge leaves."""
    return _MERGE_MARK.match(line) is not None


def _merge_marks(text: str, page: str) -> Iterator[Finding]:
    """Yield the first mark that a merge leaves where two versions of a page differ."""
    if not any(mark in text for mark in ("<<<<<<<", ">>>>>>>", "||||||| ", "=======")):
        return
    own = _SHOWN.sub(lambda shown: "\n" * shown[0].count("\n"), text)
    for match in _MERGE_MARK.finditer(own):
        if match[0][0] == "=" and _underlines(own, match):
            continue
        line = own.count("\n", 0, match.start()) + 1
        said = "the mark of a merge stands on this line: the page says two things here"
        hint = "keep one of the two versions, and take the marks out"
        yield Finding(Place(page, line), "merge-mark", said, hint)
        return


def _underlines(text: str, match: re.Match[str]) -> bool:
    """Tell whether a row of `=` makes a heading of the one line of words above it."""
    last = text.rfind("\n", 0, max(0, match.start() - 1)) + 1
    above = text[last : match.start()].strip()
    before = text[text.rfind("\n", 0, max(0, last - 1)) + 1 : last].strip()
    if _OPENING_FENCE.match(before):
        return True
    return bool(above) and not before and not _CLOSING_FENCE.match(text, match.end())


def _too_many_cells(text: str) -> int:
    """Return the most bars of a line when tables on the page could have too many cells, else 0.

    A table has as many cells in each row as in its first, whether they are written or not.
    """
    lines = [line for line in text.split("\n") if line.strip()]
    most = max((line.count("|") for line in lines), default=0)
    return most if most * len(lines) > MOST_CELLS else 0
