"""A comparison as Markdown for a pull request.

All that comes from a page stands in a code span, so that nothing on it turns into a link, a
mention of a person, a picture or HTML.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.judging.compare.change import Change, Comparison
from procedures_lib.judging.compare.report import (
    Shown,
    at,
    became,
    left_out,
    look_at,
    sections,
    stale_words,
    summary,
    unread_words,
    users,
    what,
    where,
)

LONGEST = 60_000
"""The most characters of a report: what hosts of pull requests take in one comment, about."""

_TICKS = re.compile(r"`+")


def code(text: str) -> str:
    """Return a text as a code span of one line that also holds inside a table (CommonMark 6.1)."""
    line = "".join(sign if sign.isprintable() else " " for sign in text)
    line = " ".join(line.split()) or " "
    line = line.replace("|", "\\|")
    longest = max(map(len, _TICKS.findall(line)), default=0)
    fence = "`" * (longest + 1)
    pad = " " if line[0] == "`" or line[-1] == "`" else ""
    return f"{fence}{pad}{line}{pad}{fence}"


def markdown_report(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> str:
    """Return the report; what is too long for one comment is counted instead, the last first."""
    lines = [f"**{code(names[0])} → {code(names[1])}: {summary(comparison)}.**"]
    after = list(_after(comparison, shown, names))
    room = LONGEST - sum(len(line) + 1 for line in (*lines, *after))
    left: list[Change] = []
    for heading, changes in sections(comparison.changes):
        rows = [f"| {' | '.join(_cells(change, shown))} |" for change in changes]
        head = ["", f"### {heading}", "", "| Where | What | Change | Used in | Look at |",
                "|---|---|---|---|---|"]  # fmt: skip
        taken = _fitting([*head, *rows], room) if not left else 0
        if taken > len(head):
            lines += [*head, *rows][:taken]
            room -= sum(len(line) + 1 for line in [*head, *rows][:taken])
        left += changes[max(taken - len(head), 0) :]
    if left:
        lines += ["", f"{left_out(left)}: `procedures compare` names them all."]
    return "\n".join([*lines, *after]) + "\n"


def _fitting(lines: list[str], room: int) -> int:
    """Return how many of some lines there is room for, in characters."""
    for n, line in enumerate(lines):
        room -= len(line) + 1
        if room < 0:
            return n
    return len(lines)


_MOST = 60
"""The most findings, and pages that were not compared, that a comment names."""


def _after(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> Iterator[str]:
    """Yield what comes after the changes: stale cards, findings, what was not compared."""
    if stale := stale_words(comparison, code):
        yield from ("", f"Printed cards out of date: {stale}.")
    if comparison.findings:
        yield from ("", "### To be settled", "")
    for finding in comparison.findings[:_MOST]:
        yield f"- {code(at(finding.place, shown))} **{finding.check}**: {code(finding.message)}"
        yield f"  {code(finding.hint)}"
    if comparison.unread:
        yield from ("", "### Not compared", "")
    for each in comparison.unread[:_MOST]:
        yield f"- {code(at(each.place, shown))} {unread_words(each, names, code)}"
    for rest, noun in ((comparison.findings, "findings"), (comparison.unread, "not compared")):
        if len(rest) > _MOST:
            yield from ("", f"And {len(rest) - _MOST} more {noun}.")


def _cells(change: Change, shown: Shown) -> list[str]:
    return [where(change, shown, code), what(change, code), became(change, code),
            users(change, code), look_at(change, code)]  # fmt: skip
