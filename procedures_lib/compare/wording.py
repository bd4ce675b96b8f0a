"""A change in a reviewer's words: what it is about, what became of it, who works on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.compare.change import Act, Group

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from procedures_lib.compare.change import Change, Comparison, Thing, Use

    Quote = Callable[[str], str]

_MOST_USERS = 12
_ALONE = frozenset({"joint", "step", "page", "prose", "packing list", "before", "after"})
"""Topics that are the thing itself."""


def _plain(text: str) -> str:
    return text


def what(change: Change, quote: Quote = _plain) -> str:
    """Return what a change is about: ``torque of Lid bolts (lid-bolts)``."""
    thing = thing_text(change.thing, quote)
    if change.topic in {*_ALONE, change.thing.kind}:
        listed = (
            f" in {change.topic}" if change.topic in {"packing list", "before", "after"} else ""
        )
        return f"{thing}{listed}"
    if change.topic == "id":
        return f"{change.thing.kind} {thing}" if thing.endswith(")") else thing
    return f"{change.topic} of {thing}"


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
        case "fastener" | "part" | "connection" | "opening" | "fluid" | "hazard" if thing.name:
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
        words.append(f"{_named('kit', change.kits)} {', '.join(map(quote, change.kits))}")
    return ", ".join(words)


def _use(use: Use, quote: Quote) -> str:
    steps = ", ".join(map(str, use.steps))
    return f"{quote(use.procedure)} ({_named('step', use.steps)} {steps})"


def _named(noun: str, things: Iterable[object]) -> str:
    return noun if len(tuple(things)) == 1 else f"{noun}s"


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


def counted(number: int, noun: str) -> str:
    """Return "1 page", "2 pages"."""
    return f"{number} {noun}{'' if number == 1 else 's'}"
