"""Which words call for which hazards, and what makes each safe: one index for page and walk."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fluid, Hazard, Part
from procedures_lib.entities.verbs import KEYWORDS
from procedures_lib.hazards import BUILTIN_HAZARDS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from procedures_lib.entities.work import Action
    from procedures_lib.manual.scope import Scope

SAFE_VERBS = frozenset({"isolate", "relieve", "cool"})
BATTERY = "battery"
_OPENING_VERBS = frozenset({"disconnect", "modify"})
_LETTING_OUT = frozenset({"drain", "bleed"})
_TESTED = {"brakes": "brake-fluid", "pedal": "brake-fluid"}
"""What a test of these words is about, as `carries` says it."""


@dataclass(frozen=True, slots=True)
class Call:
    """A hazard that a word calls for.

    ``target`` is what must be safe first ("" when nothing), ``verb`` what makes it so.
    """

    hazard: str
    name: str
    verb: str
    target: str
    licensed: bool


@dataclass(frozen=True, slots=True)
class Calls:
    """The hazards by the word that calls for them.

    ``opening`` is by what a connection carries and by the kind of part that it ends at, ``naming``
    by the verb and the object of any action, ``all`` by the hazard's id.
    """

    opening: dict[str, tuple[Call, ...]]
    naming: dict[str, tuple[Call, ...]]
    all: dict[str, Call]


def calls_of(scope: Scope) -> Calls:
    """Return the hazards, built in and declared, that a page can see."""
    opening: dict[str, list[Call]] = defaultdict(list)
    naming: dict[str, list[Call]] = defaultdict(list)
    every: dict[str, Call] = {}
    declared = {hazard.id: hazard for hazard in scope.all(Hazard)}
    for name, hazard in BUILTIN_HAZARDS.items():
        own = declared.get(name)
        safe_by = own.made_safe_by or hazard.made_safe_by if own else hazard.made_safe_by
        call = _call(name, hazard.name, safe_by, licensed=(own or hazard).licensed)
        every[name] = call
        _add(opening, call, (*hazard.carries, *hazard.part_kinds))
        _add(naming, call, hazard.verbs)
    for name, own in declared.items():
        call = _call(name, own.name, own.made_safe_by, licensed=own.licensed)
        every[name] = call
        words = tuple(map(str, own.called_by))
        _add(opening, call, words)
        _add(naming, call, words)
    return Calls(_frozen(opening), _frozen(naming), every)


def called_by(action: Action, scope: Scope) -> Iterator[str]:
    """Yield the ids of the hazards that an action calls for: what it opens, does or names."""
    calls = scope.calls
    words = [str(action.verb), *map(str, action.objects)]
    found = [call for word in words for call in calls.naming.get(word, ())]
    for word in _opened(action, scope):
        found += calls.opening.get(word, ())
    yield from dict.fromkeys(call.hazard for call in found)


def _opened(action: Action, scope: Scope) -> Iterator[str]:
    """Yield what runs in all that an action opens, and the kinds of the parts at its ends."""
    for name in action.objects:
        thing = scope.get(str(name))
        if isinstance(thing, Connection) and action.verb in _OPENING_VERBS:
            yield thing.carries or ""
            ends = (scope.of(Part, str(end)) for end in thing.between)
            yield from (end.kind for end in ends if end)
        elif isinstance(thing, Fluid) and action.verb in _LETTING_OUT:
            yield str(thing.kind)


def closed_by(action: Action, scope: Scope, met: Iterable[str]) -> Iterator[str]:
    """Yield the ids of the hazards that an action makes safe, makes live again, or tests.

    Of the hazards that another's target makes safe (an airbag, by the battery), and of those that
    a test is about, only the ones that are ``met`` count. A test needs the battery: what isolating
    it makes safe is not shown there.
    """
    calls, verb = scope.calls, str(action.verb)
    words = {str(name) for name in action.objects}
    if verb in SAFE_VERBS or verb == "restore":
        own = [call for call in calls.all.values() if call.target and call.target in words]
        yield from (c.hazard for c in own if c.hazard in met or c.hazard == c.target)
    elif verb == "test":
        said = {part for word in words for part in word.split()}
        said |= {_TESTED[word] for word in said & _TESTED.keys()}
        about = (call for word in said for call in calls.opening.get(word, ()))
        yield from (c.hazard for c in about if c.hazard in met and c.target != BATTERY)


def _frozen(index: dict[str, list[Call]]) -> dict[str, tuple[Call, ...]]:
    return {word: tuple(calls) for word, calls in index.items()}


def _add(index: dict[str, list[Call]], call: Call, words: tuple[str, ...]) -> None:
    for word in words:
        index[word].append(call)


def _call(hazard: str, name: str, made_safe_by: str, *, licensed: bool) -> Call:
    verb, _, target = made_safe_by.strip().partition(" ")
    known = verb in SAFE_VERBS and (KEYWORDS.get(target) == "hazard" or target == hazard)
    return Call(hazard, name, verb if known else "", target if known else "", licensed)
