"""Where an id is looked up, what a thing is called, and which words call for which hazards."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar

from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import BUILTIN_HAZARDS, Connection, Fluid, Hazard, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS
from procedures_lib.language.entities.work import Action

BATTERY = "battery"
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
    verb = VERBS[action.verb]
    for name in action.objects if verb.opens else ():
        thing = scope.get(str(name))
        if thing is None or thing.KIND not in verb.kinds:
            continue
        if isinstance(thing, Connection):
            yield thing.carries or ""
            ends = (scope.of(Part, str(end)) for end in thing.between)
            yield from (end.kind for end in ends if end)
        elif isinstance(thing, Fluid):
            yield str(thing.kind)


def closed_by(action: Action, scope: Scope, met: Iterable[str]) -> Iterator[str]:
    """Yield the ids of the hazards that an action makes safe, makes live again, or tests.

    Of the hazards that another's target makes safe (an airbag, by the battery), and of those that
    a test is about, only the ones that are ``met`` count. A test needs the battery: what isolating
    it makes safe is not shown there.
    """
    calls, verb = scope.calls, VERBS[action.verb]
    words = {str(name) for name in action.objects}
    if "hazard" in verb.kinds:
        own = [call for call in calls.all.values() if call.target and call.target in words]
        yield from (c.hazard for c in own if c.hazard in met or c.hazard == c.target)
    elif verb.name == "test":
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
    makes_safe = verb in VERBS and VERBS[verb].makes_safe
    known = makes_safe and (KEYWORDS.get(target) == "hazard" or target == hazard)
    return Call(hazard, name, verb if known else "", target if known else "", licensed)


E = TypeVar("E", bound="Entity")


def key_of(kind: type[Entity], name: str) -> str:
    """Return the key of an entity whose id another one on its page has: no id has a space."""
    return f"{kind.KIND} {name}"


class Scope:
    """The ids that one page can see, nearest page first.

    Where several have one id, which is a finding, a thing is nearer than a head, and what is asked
    for by its kind is found by it: nothing else follows from the clash.
    """

    __slots__ = ("_all", "_calls", "_levels", "_second", "_shared", "pages")

    def __init__(self, levels: tuple[tuple[str, Mapping[str, Entity]], ...]) -> None:
        """Take (page name, its entities by id) for each level, nearest first."""
        self.pages = tuple(page for page, _ in levels)
        self._levels = tuple(entities for _, entities in levels)
        self._all: dict[type[Entity], tuple[Entity, ...]] = {}
        self._calls: Calls | None = None
        self._second: dict[str, list[Entity]] | None = None
        self._shared: frozenset[str] | None = None

    def get(self, name: str) -> Entity | None:
        """Return the nearest thing with this id, else the nearest head."""
        found = [level[name] for level in self._levels if name in level]
        return next((each for each in found if each.KIND not in HEADS), found[0] if found else None)

    def of(self, kind: type[E], name: str) -> E | None:
        """Return the nearest entity of this kind with this id."""
        found = self.get(name)
        if found is None or isinstance(found, kind):
            return found
        return next((each for each in self._named(name) if isinstance(each, kind)), None)

    def kinds(self, name: str) -> frozenset[str]:
        """Return the kinds of all entities with this id: more than one is a finding."""
        return frozenset(each.KIND for each in self._named(name))

    def _named(self, name: str) -> Iterator[Entity]:
        if self._second is None:
            others = [e for level in self._levels for key, e in level.items() if " " in key]
            self._second = {each.id: [e for e in others if e.id == each.id] for each in others}
        yield from (level[name] for level in self._levels if name in level)
        yield from self._second.get(name, ())

    @property
    def shared(self) -> frozenset[str]:
        """The ids that several things have: which of them is meant, nothing tells."""
        if self._shared is None:
            found = (each for level in self._levels for each in level.values())
            numbers = Counter(each.id for each in found if each.KIND not in HEADS)
            self._shared = frozenset(name for name, number in numbers.items() if number > 1)
        return self._shared

    def all(self, kind: type[E]) -> tuple[E, ...]:
        """Return every entity of a kind that can be seen."""
        if kind not in self._all:
            self._all[kind] = tuple(e for e in self.entities() if isinstance(e, kind))
        return self._all[kind]  # type: ignore[return-value]

    @property
    def calls(self) -> Calls:
        """The hazards by the words that call for them."""
        if self._calls is None:
            self._calls = calls_of(self)
        return self._calls

    def ids(self) -> Iterator[str]:
        """Yield every id that can be seen."""
        for level in self._levels:
            yield from level

    def entities(self) -> Iterator[Entity]:
        """Yield every entity that can be seen; one hidden by a nearer of its kind is left out."""
        seen: set[tuple[str, str]] = set()
        for level in self._levels:
            for entity in level.values():
                if (entity.KIND, entity.id) not in seen:
                    seen.add((entity.KIND, entity.id))
                    yield entity


_LONGEST_CHAIN = 8
_SENTENCE_BEGINS = re.compile(r"(?:^|[.!?…]['\"”’)]*\s|[•|]\s)\s*$")
"""The text before a word that begins a sentence: nothing, an end, the mark of an item or a cell."""


def humanised(name: str) -> str:
    """An id as words: ``charge-cooler`` is "Charge cooler"."""
    words = name.replace("-", " ")
    return words[:1].upper() + words[1:]


def small(name: str) -> str:
    """A name as it stands inside a sentence: its first letter small, unless it abbreviates."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def begun(words: str, before: str) -> str:
    """Words with a capital if a sentence begins with them.

    ``before`` is what the paragraph says before them.
    """
    return words[:1].upper() + words[1:] if _SENTENCE_BEGINS.search(before) else words


def name_of(entity: Entity, scope: Scope) -> str:
    """The entity's name: its own, that of what it replaces, or its id as words."""
    seen: Entity | None = entity
    for _ in range(_LONGEST_CHAIN):
        if seen is None:
            break
        name = getattr(seen, "name", "")
        if name:
            return str(name)
        replaced = getattr(seen, "replaces", None)
        seen = scope.get(replaced) if replaced else None
    return humanised(entity.id)
