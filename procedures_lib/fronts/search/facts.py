"""What a row answers when it is asked, other words for a thing, and what a thing belongs to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part
from procedures_lib.language.entities.kit import Kit
from procedures_lib.manual import Manual, Scope
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.view.joint import order_text, socket_for
from procedures_lib.view.step import SIGNAL_RANKS, StepView

Thing = Fastener | Part | Connection | Opening | Fluid
Facts = tuple[tuple[str, str], ...]
NEW = "new every time"
MARK = "="
"""What the term of a mark begins with: nothing that is typed is read as one."""


def facts_of(thing: Thing, manual: Manual, scope: Scope) -> Facts:
    """Return the facts of a row by their names: answers, ``also``, ``replaced``."""
    found = dict(_answers(thing)) if isinstance(thing, Fastener) else {"again": _again(thing)}
    found["also"] = ", ".join(other_words(thing, manual, scope))
    found["replaced"] = ", ".join(_replacing(manual, thing.place.page).get(thing.id, ()))
    return tuple((name, text) for name, text in found.items() if text)


def _answers(fastener: Fastener) -> Iterator[tuple[str, str]]:
    tools = (socket_for(fastener.head) if fastener.head else "", fastener.reach)
    yield "socket", ", ".join(filter(None, tools))
    order = order_text(fastener)
    yield "order", f"in order: {order}" if order else ""
    yield "threads", f"threads: {fastener.condition}" if fastener.condition else ""
    if fastener.takes_torque or not fastener.reusable:
        yield "again", "may be used again" if fastener.reusable else NEW
    yield "turns", "left-hand thread" if fastener.turns == "left" else ""


def _again(thing: Thing) -> str:
    """Whether a part or a connection goes back in, where its kind or its page says so."""
    reusable = thing.reuse if isinstance(thing, Connection) else getattr(thing, "reusable", True)
    if not reusable:
        return NEW
    return "may be used again" if isinstance(thing, Part) and thing.reuse else ""


def facts_of_step(view: StepView, scope: Scope) -> Facts:
    """Return the facts of a step: what it warns of, and who may do it where not everybody may."""
    named = [(signal.word, signal.title) for signal in view.signals]
    named += [(hazard.signal, hazard.name) for hazard in view.called]
    warned = [f"{word}: {name}" for word, name in named if SIGNAL_RANKS.get(word, 0) > 1]
    hazards = [scope.hazard(name) for name in view.hazards]
    licensed = any(hazard is not None and hazard.licensed for hazard in hazards)
    who = "for licensed or certified people only" if licensed else ""
    found = {"warns": "; ".join(dict.fromkeys(warned)), "who": who}
    return tuple((name, text) for name, text in found.items() if text)


def marks_of(facts: Facts) -> Iterable[str]:
    """Return the terms under which a row is found by what it answers, whatever it is called."""
    found = dict(facts)
    marks = [name for fact, name in _MARKS.items() if fact in found]
    return [MARK + name for name in (*marks, *(["new"] if found.get("again") == NEW else []))]


_MARKS = {"turns": "left", "warns": "warns", "who": "who"}


def other_words(thing: Thing, manual: Manual, scope: Scope) -> tuple[str, ...]:
    """The other words for a thing, and for what it takes the place of."""
    words = [word for each in _line(thing, manual, scope) for word in each.also]
    return tuple(dict.fromkeys(map(str, words)))


def _line(thing: Thing, manual: Manual, scope: Scope) -> Iterator[Thing]:
    """A thing, and what it takes the place of."""
    yield thing
    replaced = getattr(thing, "replaces", None) or _packed(manual, thing.place.page).get(thing.id)
    before = scope.get(str(replaced)) if replaced else None
    if isinstance(before, type(thing)) and before is not thing:
        yield before


def _packed(manual: Manual, page: str) -> Mapping[str, str]:
    """What each thing in a kit's box takes the place of, by its id."""

    def collect() -> Mapping[str, str]:
        kits = [e for e in manual.entities_on(page).values() if isinstance(e, Kit)]
        return {i.what: str(i.replaces) for kit in kits for i in kit.contents if i.replaces}

    return manual.once(("find packed", page), collect)


def belongs_to(thing: Thing, manual: Manual, scope: Scope) -> Iterator[str]:
    """Yield names and other words of what a fastener holds, and of the ends of a connection.

    So the bolts of the cooler are found by every word for the cooler.
    """
    if isinstance(thing, Connection):
        yield from _said_of_ends(thing, manual, scope)
    if isinstance(thing, Fastener):
        yield from _said_of_held(thing.id, thing.place.page, manual, scope)
        for other in _beside(manual, scope, thing.place.page).get(thing.id, ()):
            yield name_of(other, scope)
            yield from _said_of_held(other.id, thing.place.page, manual, scope)


def _said_of_held(name: str, page: str, manual: Manual, scope: Scope) -> Iterator[str]:
    for held in _held(manual, scope, page).get(name, ()):
        yield name_of(held, scope)
        yield from other_words(held, manual, scope)
        if isinstance(held, Connection):
            yield from _said_of_ends(held, manual, scope)


def _beside(manual: Manual, scope: Scope, page: str) -> Mapping[str, list[Fastener]]:
    """What goes with each fastener, such as a nut with its cotter pin; both ways."""

    def collect() -> Mapping[str, list[Fastener]]:
        found: defaultdict[str, list[Fastener]] = defaultdict(list)
        for fastener in scope.all(Fastener):
            for name in map(str, fastener.with_):
                other = scope.of(Fastener, name)
                if other is not None:
                    found[fastener.id].append(other)
                    found[other.id].append(fastener)
        return found

    return manual.once(("find beside", page), collect)


def _said_of_ends(connection: Connection, manual: Manual, scope: Scope) -> Iterator[str]:
    for end in connection.between:
        part = scope.get(str(end))
        if isinstance(part, Part):
            yield name_of(part, scope)
            yield from other_words(part, manual, scope)
        else:
            yield humanised(str(end))


def _held(manual: Manual, scope: Scope, page: str) -> Mapping[str, list[Part | Connection]]:
    """What each fastener holds, of all that the page of the fasteners sees."""

    def collect() -> Mapping[str, list[Part | Connection]]:
        found: defaultdict[str, list[Part | Connection]] = defaultdict(list)
        for part in scope.all(Part):
            for holder in part.held_by:
                found[str(holder)].append(part)
        for connection in scope.all(Connection):
            for by in connection.holders:
                found[by].append(connection)
        return found

    return manual.once(("find held", page), collect)


def _replacing(manual: Manual, page: str) -> Mapping[str, tuple[str, ...]]:
    """The ids of a page that kits take out for good, each with the kits' names as shown."""

    def collect() -> Mapping[str, Mapping[str, tuple[str, ...]]]:
        found: defaultdict[str, defaultdict[str, list[str]]] = defaultdict(
            lambda: defaultdict(list)
        )
        for kit in manual.heads(Kit):
            scope = manual.scope(kit.place.page)
            for item in kit.contents:
                old = scope.get(str(item.replaces)) if item.replaces else None
                if old is not None and old.place.page != kit.place.page:
                    found[old.place.page][old.id].append(kit.id.upper())
        return {
            at: {name: tuple(dict.fromkeys(kits)) for name, kits in ids.items()}
            for at, ids in found.items()
        }

    return manual.once(("find replaced",), collect).get(page, {})
