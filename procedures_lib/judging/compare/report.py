"""A comparison in words and as JSON: one line a change, in the order of a review."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence, Sized
from dataclasses import asdict
from typing import Any

from procedures_lib.engineering.quantities import NO_BREAK_SPACE
from procedures_lib.findings import Finding, Place, counted, printable
from procedures_lib.judging.compare.change import (
    Act,
    Change,
    Comparison,
    Harm,
    Stale,
    Thing,
    Unread,
    Use,
)
from procedures_lib.judging.compare.sentences import marked

Quote = Callable[[str], str]
Shown = Callable[[str], str]


_MOST_USERS = 3
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


_SHORT = 30
_LONGEST = 160


def became(change: Change, quote: Quote = _plain) -> str:
    """Return what became of it: ``10 N·m → 12 N·m (+20 %)``, ``added: 5 N·m``.

    Of two long texts the words that changed are marked: ``[-stand-] {+jack+}``.
    """
    note = f" ({change.note})" if change.note else ""
    if is_marked(change):
        said = "" if change.act is Act.CHANGED else f"{change.act}{note}: "
        return f"{said}{quote(marked(change.old, change.new))}"
    old, new = (quote(_clipped(text)) if text else "" for text in (change.old, change.new))
    both = f"{old} → {new}" if old != new else old
    match change.act:
        case Act.CHANGED:
            alone = next((each for each in _ONLY if each in change.note), "")
            alone = "" if "%" in change.note else alone
            return f"{alone}: {both}" if alone else f"{both}{note}"
        case Act.ADDED:
            both = new
        case Act.DROPPED:
            return f"dropped{note}, was: {old}" if old else f"dropped{note}"
    return f"{change.act}{note}: {both}" if both else f"{change.act}{note}"


_ONLY = ("tolerance only", "order only")


def is_marked(change: Change) -> bool:
    """Tell whether a change is shown as one text with its changed words marked."""
    if not change.old or not change.new or change.act not in {Act.CHANGED, Act.REWORDED}:
        return False
    if change.act is Act.REWORDED and change.topic != "action":
        return True
    return change.note == "" and min(len(change.old), len(change.new)) > _SHORT


def _clipped(text: str) -> str:
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1].rstrip()}…"


def users(change: Change, quote: Quote = _plain) -> str:
    """Return who is concerned: procedures with their steps, and kits; "" for nobody."""
    most = _MOST_USERS * 4 if change.thing.kind in {"rule", "hazard"} else _MOST_USERS
    words = [_use(use, quote) for use in change.used[:most]]
    if len(change.used) > most:
        words.append(f"and {len(change.used) - most} more")
    if change.kits:
        more = f" and {len(change.kits) - most} more" if len(change.kits) > most else ""
        kits = ", ".join(map(quote, change.kits[:most]))
        words.append(f"{_noun('kit', change.kits)} {kits}{more}")
    return ", ".join(words)


def _use(use: Use, quote: Quote) -> str:
    if not use.steps:
        return quote(use.procedure)
    steps = ", ".join(map(str, use.steps))
    return f"{quote(use.procedure)} ({_noun('step', use.steps)} {steps})"


def _noun(noun: str, things: Sized) -> str:
    return noun if len(things) == 1 else f"{noun}s"


def summary(comparison: Comparison) -> str:
    """Return "12 changes: 3 can injure, 4 can damage; prose only: 2 pages; 1 finding"."""
    changes = comparison.changes
    words = [counted(len(changes), "change")] if changes else []
    harms = [(sum(each.harm is harm for each in changes), verb) for harm, verb in _VERBS.items()]
    told = [f"{number} can {verb}" for number, verb in harms if number]
    if told:
        words[0] += f": {', '.join(told)}"
    for number, said in (
        (len(comparison.prose_only), f"prose only: {counted(len(comparison.prose_only), 'page')}"),
        (len(comparison.unread), f"{len(comparison.unread)} not compared"),
        (len(comparison.findings), counted(len(comparison.findings), "finding")),
    ):
        words += [said] if number else []
    return "; ".join(words) or "No difference"


_VERBS = {Harm.INJURES: "injure", Harm.DAMAGES: "damage"}

FIRST = "Hold these against their sources, no rule can judge them"


def sections(changes: tuple[Change, ...]) -> Iterator[tuple[str, tuple[Change, ...]]]:
    """Yield the parts of a review with their headings: first what no rule can judge."""
    first = tuple(change for change in changes if change.comes_first)
    if first:
        yield FIRST, first
    for harm in Harm:
        rest = tuple(each for each in changes if each.harm is harm and not each.comes_first)
        if rest:
            yield harm.heading, rest


def look_at(change: Change, quote: Quote = _plain) -> str:
    """Return what to hold a change against that no rule can judge, "" for any other."""
    if not change.comes_first:
        return ""
    return quote(change.source) if change.source else "no source named"


def left_out(changes: Sequence[Change]) -> str:
    """Return how many changes a report leaves out: "And 40 more changes (2 can damage)"."""
    harms = [(sum(each.harm is harm for each in changes), verb) for harm, verb in _VERBS.items()]
    told = ", ".join(f"{number} can {verb}" for number, verb in harms if number)
    return f"And {len(changes)} more {_noun('change', changes)}{f' ({told})' if told else ''}"


def stale_words(comparison: Comparison, quote: Quote = _plain) -> str:
    """Return which printed cards are out of date, with the jobs that they are in; "" for none."""
    words = [_card(each, quote) for each in comparison.stale[:_MOST_CARDS]]
    if len(comparison.stale) > _MOST_CARDS:
        words.append(f"and {len(comparison.stale) - _MOST_CARDS} more")
    return "; ".join(words)


_MOST_CARDS = 12


def _card(stale: Stale, quote: Quote) -> str:
    letter = f" revision {quote(stale.revision)}" if stale.revision else ""
    jobs = f" ({_noun('job', stale.jobs)} {', '.join(map(quote, stale.jobs))})"
    return f"{quote(stale.procedure)}{letter}{jobs if stale.jobs else ''}"


def at(place: Place, shown: Shown) -> str:
    """Return a place as path and line."""
    return f"{shown(place.page)}:{place.line}"


def where(change: Change, shown: Shown, quote: Quote = _plain) -> str:
    """Return where a change stands: on the old page, if only that has it."""
    old = " (old)" if change.act is Act.DROPPED and change.place == change.was else ""
    return f"{quote(at(change.place, shown))}{old}"


def unread_words(each: Unread, names: tuple[str, str], quote: Quote = _plain) -> str:
    """Return what could not be compared, in which state, and why."""
    side = names[0] if each.side == "old" else names[1]
    return f"{quote(each.what)} in {quote(side)}: {quote(each.why)}"


# -- JSON --------------------------------------------------------------------------------------

FORMAT = 1


def json_report(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> dict[str, Any]:
    """Return the report as plain values, its lists in the order of a review.

    They are ``format``, ``old``, ``new``, ``changes``, ``prose_only``, ``unread``, ``findings`` and
    ``stale``.

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
        "stale": [{**asdict(each), "jobs": list(each.jobs)} for each in comparison.stale],
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
        "harm": change.harm.name.lower(),
        "comes_first": change.comes_first,
        "turned": change.turned,
        "source": _spaced(change.source),
        "marked": _spaced(marked(change.old, change.new)) if is_marked(change) else "",
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


# -- text --------------------------------------------------------------------------------------

MOST_LINES = 500
"""The most changes, findings and pages that a text names; JSON has them all."""


def text_report(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> str:
    """Return the report; ``shown`` turns a page's name into a path, ``names`` are the states.

    Each line is one line, whatever stands on the pages: no text of theirs steers a terminal.
    """
    return "\n".join(map(printable, _text(comparison, shown, names))) + "\n"


def _text(comparison: Comparison, shown: Shown, names: tuple[str, str]) -> Iterator[str]:
    for heading, changes in sections(comparison.changes[:MOST_LINES]):
        yield f"{heading}:"
        yield from (f"  {_line(change, shown)}" for change in changes)
    if rest := comparison.changes[MOST_LINES:]:
        yield f"{left_out(rest)}: `--format json` names them all."
    if stale := stale_words(comparison):
        yield f"Printed cards out of date: {stale}."
    for finding in comparison.findings[:MOST_LINES]:
        yield f"{at(finding.place, shown)}: {finding.level}: {finding.check}: {finding.message}"
        yield f"    {finding.hint}"
    for each in comparison.unread[:MOST_LINES]:
        yield f"{at(each.place, shown)}: not compared: {unread_words(each, names)}"
    for number, noun in (
        (len(comparison.findings), "findings"),
        (len(comparison.unread), "not compared"),
    ):
        if number > MOST_LINES:
            yield f"And {number - MOST_LINES} more {noun}: `--format json` names them all."
    yield f"{names[0]} → {names[1]}: {summary(comparison)}."


def _line(change: Change, shown: Shown) -> str:
    line = f"{where(change, shown)}: {what(change)}: {became(change)}"
    told = [f"used in {users(change)}"] if change.used or change.kits else []
    told += [f"look at: {look_at(change)}"] if change.comes_first else []
    return f"{line} — {'; '.join(told)}" if told else line
