"""A comparison as lines of text: each change begins with its path and line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.compare.change import Act, Group
from procedures_lib.compare.wording import became, summary, users, what
from procedures_lib.quantities import NO_BREAK_SPACE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from procedures_lib.compare.change import Change, Comparison
    from procedures_lib.findings import Finding, Place

    Shown = Callable[[str], str]


def text_report(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> str:
    """Return the whole report; ``shown`` turns a page's name into a path, ``names`` are the states.

    Each line is one line, whatever stands on the pages: no text of theirs steers a terminal.
    """
    return "\n".join(map(_printable, _lines(comparison, shown, names))) + "\n"


def _lines(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> Iterator[str]:
    for finding in comparison.findings:
        yield from _finding(finding, shown)
    for each in comparison.unread:
        side = names[0] if each.side == "old" else names[1]
        yield f"{_at(each.place, shown)}: not compared: {each.what} in {side}: {each.why}"
    for group in Group:
        changes = comparison.of(group)
        if changes:
            yield f"{group.heading}:"
        for change in changes:
            yield f"  {_change(change, shown)}"
            if told := users(change):
                yield f"      used in {told}"
    yield f"{names[0]} → {names[1]}: {summary(comparison)}."


def _finding(finding: Finding, shown: Shown) -> Iterator[str]:
    where = _at(finding.place, shown)
    yield f"{where}: {finding.level}: {finding.check}: {finding.message}"
    yield f"    {finding.hint}"
    for place in finding.related:
        yield f"    see {_at(place, shown)}"


def _change(change: Change, shown: Shown) -> str:
    old = " (old)" if change.act is Act.DROPPED and change.place == change.was else ""
    return f"{_at(change.place, shown)}{old}: {what(change)}: {became(change)}"


def _at(place: Place, shown: Shown) -> str:
    return f"{shown(place.page)}:{place.line}"


def _printable(text: str) -> str:
    return "".join(
        sign if sign.isprintable() or sign == NO_BREAK_SPACE else _seen(sign) for sign in text
    )


def _seen(sign: str) -> str:
    return " " if sign.isspace() else sign.encode("unicode_escape").decode("ascii")
