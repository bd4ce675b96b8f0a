"""A comparison as text, as Markdown for a pull request, as JSON.

All that comes from a page stands in a code span, so that nothing on it turns into a link, a
mention of a person, a picture or HTML.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sized
from dataclasses import asdict
from typing import Any

from procedures_lib.engineering.quantities import NO_BREAK_SPACE
from procedures_lib.findings import Finding, Place, counted, printable
from procedures_lib.judging.compare.change import Act, Change, Comparison, Group, Thing, Unread, Use

Quote = Callable[[str], str]
Shown = Callable[[str], str]


_MOST_USERS = 12
_LISTS = frozenset({"packing list", "before", "after"})
_ALONE = _LISTS | {"joint", "step", "page", "prose"}
"""Topics that are the thing itself."""


def _plain(text: str) -> str:
    return text


def what(change: Change, quote: Quote = _plain) -> str:
    """Return what a change is about: ``torque of Lid bolts (lid-bolts)``."""
    thing = thing_text(change.thing, quote)
    if change.topic in {*_ALONE, change.thing.kind}:
        return f"{thing} in {change.topic}" if change.topic in _LISTS else thing
    if change.topic == "id":
        return f"{change.thing.kind} {thing}" if thing.endswith(")") else thing
    return f"{change.topic} of {thing}"


_NAMED = frozenset({"fastener", "part", "connection", "opening", "fluid", "hazard", "rule"})


def thing_text(thing: Thing, quote: Quote = _plain) -> str:
    """Return a thing's name and id, as far as it has them."""
    match thing.kind:
        case "step":
            return f"step {_titled(thing.name or thing.id, quote)}"
        case "page":
            return f"page {quote(thing.id)}"
        case "signal":
            where = f" in step {_titled(thing.id, quote)}" if thing.id else ""
            return f"{_titled(thing.name, quote)}{where}"
        case "double entry":
            return f"double entry of {quote(thing.id)} from {quote(thing.name)}"
        case kind if thing.name and kind in _NAMED:
            return f"{quote(thing.name)} ({quote(thing.id)})"
        case _:
            return f"{thing.kind} {quote(thing.id)}"


def _titled(text: str, quote: Quote) -> str:
    return f"“{text}”" if quote is _plain else quote(text)


def became(change: Change, quote: Quote = _plain) -> str:
    """Return what became of it: ``10 N·m → 12 N·m (+20 %)``, ``added: 5 N·m``."""
    old, new = quote(change.old) if change.old else "", quote(change.new) if change.new else ""
    note = f" ({change.note})" if change.note else ""
    match change.act:
        case Act.CHANGED:
            return f"{old} → {new}{note}"
        case Act.ADDED:
            return f"added{note}: {new}" if new else f"added{note}"
        case Act.DROPPED:
            return f"dropped{note}, was: {old}" if old else f"dropped{note}"
        case _:
            return f"{change.act}{note}: {old} → {new}" if old or new else f"{change.act}{note}"


def users(change: Change, quote: Quote = _plain) -> str:
    """Return who works on the thing: procedures with their steps, and kits; "" for nobody."""
    words = [_use(use, quote) for use in change.used[:_MOST_USERS]]
    if len(change.used) > _MOST_USERS:
        words.append(f"and {len(change.used) - _MOST_USERS} more")
    if change.kits:
        words.append(f"{_noun('kit', change.kits)} {', '.join(map(quote, change.kits))}")
    return ", ".join(words)


def _use(use: Use, quote: Quote) -> str:
    steps = ", ".join(map(str, use.steps))
    return f"{quote(use.procedure)} ({_noun('step', use.steps)} {steps})"


def _noun(noun: str, things: Sized) -> str:
    return noun if len(things) == 1 else f"{noun}s"


def summary(comparison: Comparison) -> str:
    """Return "12 changes, 3 of them touch safety; prose only: 2 pages; 1 finding"."""
    told = [change for change in comparison.changes if change.group is not Group.PROSE]
    safety = sum(change.group.touches_safety for change in told)
    words = [counted(len(told), "change")] if told else []
    if safety:
        words[0] += f", {_share(safety, len(told))} safety"
    if comparison.prose_only:
        words.append(f"prose only: {counted(len(comparison.prose_only), 'page')}")
    if comparison.findings:
        words.append(counted(len(comparison.findings), "finding"))
    return "; ".join(words) or "No difference"


def _share(some: int, all_: int) -> str:
    if some == all_:
        return "which touches" if all_ == 1 else "which all touch"
    return f"{some} of them {'touches' if some == 1 else 'touch'}"


def _at(place: Place, shown: Shown) -> str:
    return f"{shown(place.page)}:{place.line}"


def _where(change: Change, shown: Shown, quote: Quote = _plain) -> str:
    old = " (old)" if change.act is Act.DROPPED and change.place == change.was else ""
    return f"{quote(_at(change.place, shown))}{old}"


def _unread(each: Unread, names: tuple[str, str], quote: Quote = _plain) -> str:
    side = names[0] if each.side == "old" else names[1]
    return f"{quote(each.what)} in {quote(side)}: {quote(each.why)}"


# -- JSON --------------------------------------------------------------------------------------

FORMAT = 1


def json_report(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> dict[str, Any]:
    """Return ``{format, old, new, changes, prose_only, unread, findings}``, in the report's order.

    ``path`` is relative to the current folder, ``page`` to the folder of pages.
    """
    return {
        "format": FORMAT,
        "old": names[0],
        "new": names[1],
        "changes": [_change(change, shown) for change in comparison.changes],
        "prose_only": list(comparison.prose_only),
        "unread": [
            {**_place(each.place, shown), "side": each.side, "what": each.what, "why": each.why}
            for each in comparison.unread
        ],
        "findings": [_finding(finding, shown) for finding in comparison.findings],
    }


def _change(change: Change, shown: Shown) -> dict[str, Any]:
    return {
        **_place(change.place, shown),
        "group": change.group.name.lower(),
        "topic": change.topic,
        **asdict(change.thing),
        "act": str(change.act),
        "old": _spaced(change.old),
        "new": _spaced(change.new),
        "note": _spaced(change.note),
        "same_amount": change.same,
        "was": asdict(change.was) if change.was else None,
        "used": [{"procedure": use.procedure, "steps": list(use.steps)} for use in change.used],
        "kits": list(change.kits),
    }


def _finding(finding: Finding, shown: Shown) -> dict[str, Any]:
    return {
        **_place(finding.place, shown),
        "level": str(finding.level),
        "check": finding.check,
        "message": finding.message,
        "hint": finding.hint,
        "related": [asdict(place) for place in finding.related],
    }


def _place(place: Place, shown: Shown) -> dict[str, Any]:
    return {"path": shown(place.page), **asdict(place)}


def _spaced(text: str) -> str:
    return text.replace(NO_BREAK_SPACE, " ")


# -- Markdown ----------------------------------------------------------------------------------

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
    for line in _markdown(comparison, shown, names):
        if left or length + len(line) > LONGEST:
            left += line.startswith("| `")
            continue
        lines.append(line)
        length += len(line) + 1
    if left:
        lines += ["", f"And {left} more changes: `procedures compare` prints them all."]
    return "\n".join(lines) + "\n"


def _markdown(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> Iterator[str]:
    yield f"**{code(names[0])} → {code(names[1])}: {summary(comparison)}.**"
    if comparison.findings:
        yield from ("", "### To be settled", "")
    for finding in comparison.findings:
        yield f"- {code(_at(finding.place, shown))} **{finding.check}**: {code(finding.message)}"
        yield f"  {code(finding.hint)}"
    if comparison.unread:
        yield from ("", "### Not compared", "")
    for each in comparison.unread:
        yield f"- {code(_at(each.place, shown))} {_unread(each, names, code)}"
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
        cells = [_where(change, shown, code), _what(change), _cell(change.old), _cell(change.new)]
        cells += [users(change, code)] if used else []
        yield f"| {' | '.join(cells)} |"


def _what(change: Change) -> str:
    act = "" if change.act is Act.CHANGED else f" {change.act}"
    note = f", {change.note}" if change.note else ""
    return f"{what(change, code)}{act}{note}"


def _cell(text: str) -> str:
    return code(text) if text else ""


# -- text --------------------------------------------------------------------------------------


def text_report(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> str:
    """Return the whole report; ``shown`` turns a page's name into a path, ``names`` are the states.

    Each line is one line, whatever stands on the pages: no text of theirs steers a terminal.
    """
    return "\n".join(map(printable, _text(comparison, shown, names))) + "\n"


def _text(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> Iterator[str]:
    for finding in comparison.findings:
        where = _at(finding.place, shown)
        yield f"{where}: {finding.level}: {finding.check}: {finding.message}"
        yield f"    {finding.hint}"
        yield from (f"    see {_at(place, shown)}" for place in finding.related)
    for each in comparison.unread:
        yield f"{_at(each.place, shown)}: not compared: {_unread(each, names)}"
    for group in Group:
        changes = comparison.of(group)
        if changes:
            yield f"{group.heading}:"
        for change in changes:
            yield f"  {_where(change, shown)}: {what(change)}: {became(change)}"
            if told := users(change):
                yield f"      used in {told}"
    yield f"{names[0]} → {names[1]}: {summary(comparison)}."
