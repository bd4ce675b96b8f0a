"""A comparison as Markdown for a pull request: tables, what touches safety first.

All that comes from a page stands in a code span, so that nothing on it turns into a link, a
mention of a person, a picture or HTML.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.compare.change import Act, Group
from procedures_lib.compare.wording import summary, users, what

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from procedures_lib.compare.change import Change, Comparison
    from procedures_lib.findings import Place

    Shown = Callable[[str], str]

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
    lines: list[str] = []
    length = 0
    left = 0
    for line in _lines(comparison, shown, names):
        if left or length + len(line) > LONGEST:
            left += line.startswith("| `")
            continue
        lines.append(line)
        length += len(line) + 1
    if left:
        lines += ["", f"And {left} more changes: `procedures compare` prints them all."]
    return "\n".join(lines) + "\n"


def _lines(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> Iterator[str]:
    yield f"**{code(names[0])} → {code(names[1])}: {summary(comparison)}.**"
    if comparison.findings:
        yield from ("", "### To be settled", "")
    for finding in comparison.findings:
        where = code(_at(finding.place, shown))
        yield f"- {where} **{finding.check}**: {code(finding.message)}"
        yield f"  {code(finding.hint)}"
    if comparison.unread:
        yield from ("", "### Not compared", "")
    for each in comparison.unread:
        side = names[0] if each.side == "old" else names[1]
        where = code(_at(each.place, shown))
        yield f"- {where} {code(each.what)} in {code(side)}: {code(each.why)}"
    for group in Group:
        changes = comparison.of(group)
        if changes and group is Group.PROSE:
            yield from ("", f"### {group.heading}", "")
            yield from (f"- {code(_at(c.place, shown))} {c.note}" for c in changes)
        elif changes:
            yield from _table(group, changes, shown)


def _table(group: Group, changes: tuple[Change, ...], shown: Shown) -> Iterator[str]:
    used = any(change.used or change.kits for change in changes)
    yield from ("", f"### {group.heading}", "")
    yield f"| Where | What | Old | New | {'Used in |' if used else ''}".rstrip()
    yield f"|---|---|---|---|{'---|' if used else ''}"
    for change in changes:
        cells = [_where(change, shown), _what(change), _value(change.old), _value(change.new)]
        cells += [users(change, code)] if used else []
        yield f"| {' | '.join(cells)} |"


def _where(change: Change, shown: Shown) -> str:
    old = " (old)" if change.act is Act.DROPPED and change.place == change.was else ""
    return f"{code(_at(change.place, shown))}{old}"


def _what(change: Change) -> str:
    act = "" if change.act is Act.CHANGED else f" {change.act}"
    note = f", {change.note}" if change.note else ""
    return f"{what(change, code)}{act}{note}"


def _value(text: str) -> str:
    return code(text) if text else ""


def _at(place: Place, shown: Shown) -> str:
    return f"{shown(place.page)}:{place.line}"
