"""Which words call for which hazards, and what makes each safe."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Hazard
from procedures_lib.entities.verbs import KEYWORDS
from procedures_lib.hazards import BUILTIN_HAZARDS

if TYPE_CHECKING:
    from procedures_lib.manual import Scope

SAFE_VERBS = frozenset({"isolate", "relieve", "cool"})


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
    """The hazards that ask for something first, by the word that calls for them.

    ``opening`` is by what a connection carries and by the kind of part that it ends at, ``naming``
    by the verb and the object of any action.
    """

    opening: dict[str, tuple[Call, ...]]
    naming: dict[str, tuple[Call, ...]]


def calls_of(scope: Scope) -> Calls:
    """Return the hazards, built in and declared, that a page can see."""
    opening: dict[str, list[Call]] = defaultdict(list)
    naming: dict[str, list[Call]] = defaultdict(list)
    declared = {hazard.id: hazard for hazard in scope.all(Hazard)}
    for name, hazard in BUILTIN_HAZARDS.items():
        own = declared.get(name)
        safe_by = own.made_safe_by or hazard.made_safe_by if own else hazard.made_safe_by
        call = _call(name, hazard.name, safe_by, licensed=(own or hazard).licensed)
        _add(opening, call, (*hazard.carries, *hazard.part_kinds))
        _add(naming, call, hazard.verbs)
    for name, own in declared.items():
        call = _call(name, own.name, own.made_safe_by, licensed=own.licensed)
        words = tuple(map(str, own.called_by))
        _add(opening, call, words)
        _add(naming, call, words)
    return Calls(
        {word: tuple(calls) for word, calls in opening.items()},
        {word: tuple(calls) for word, calls in naming.items()},
    )


def _add(index: dict[str, list[Call]], call: Call, words: tuple[str, ...]) -> None:
    if call.target or call.licensed:
        for word in words:
            index[word].append(call)


def _call(hazard: str, name: str, made_safe_by: str, *, licensed: bool) -> Call:
    verb, _, target = made_safe_by.strip().partition(" ")
    known = verb in SAFE_VERBS and (KEYWORDS.get(target) == "hazard" or target == hazard)
    return Call(hazard, name, verb if known else "", target if known else "", licensed)
