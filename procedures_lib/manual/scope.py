"""Where an id is looked up, and which words call for which hazards."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import TypeVar

from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import Connection, Fluid, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS, BuiltinHazard, Hazard
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS
from procedures_lib.language.entities.work import Action
from procedures_lib.language.reading.block_kinds import SIGNAL_WORDS
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS, Condition

BATTERY = "battery"
TESTED = {"brakes": "brake-fluid", "pedal": "brake-fluid"}
"""What a test of these words is about, as `carries` says it."""


@dataclass(frozen=True, slots=True)
class Call:
    """A hazard that a word calls for, on the cars of ``when``.

    ``target`` is what must be safe first ("" when nothing), ``verb`` what makes it so; ``thing``
    tells that the target is a thing of the car (a service plug to be disconnected).
    """

    hazard: str
    name: str
    verb: str
    target: str
    licensed: bool
    when: Condition = ALWAYS
    thing: bool = False


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
    """Return the hazards, built in and declared, that a page can see.

    What a thing calls for, what takes its place calls for as well, where the hazard is made safe or
    left to licensed people.
    """
    opening: dict[str, list[Call]] = defaultdict(list)
    naming: dict[str, list[Call]] = defaultdict(list)
    every: dict[str, Call] = {}
    newer = _newer(scope)
    for name, hazard in BUILTIN_HAZARDS.items():
        call = _call(scope.hazard(name) or hazard, scope, ALWAYS)
        every[name] = call
        _add(opening, call, (*hazard.carries, *hazard.part_kinds))
        _add(naming, call, hazard.verbs)
    for own in scope.each_hazard():
        call = _call(scope.hazard(own.id) or own, scope, own.when)
        every.setdefault(own.id, call)
        words = tuple(map(str, own.called_by))
        if call.target or call.licensed:
            words = tuple(_with_newer(words, newer))
        _add(opening, call, words)
        _add(naming, call, words)
    return Calls(_frozen(opening), _frozen(naming), every)


def _newer(scope: Scope) -> dict[str, list[str]]:
    """The things that take the place of each thing, as blocks and packing lists say it."""
    found: dict[str, list[str]] = defaultdict(list)
    for entity in scope.entities():
        old = getattr(entity, "replaces", None)
        if old:
            found[str(old)].append(entity.id)
        for item in entity.contents if isinstance(entity, Kit) else ():
            if item.replaces:
                found[str(item.replaces)].append(item.what)
    return found


def _with_newer(words: Iterable[str], newer: Mapping[str, list[str]]) -> dict[str, None]:
    """Words, and the things that take the place of those among them."""
    found = dict.fromkeys(words)
    ahead = list(found)
    while ahead:
        for name in newer.get(ahead.pop(), ()):
            if name not in found:
                found[name] = None
                ahead.append(name)
    return found


def words_of(action: Action, scope: Scope) -> Iterator[str]:
    """Yield the words by which a rule may be about an action: verb, things, what it opens."""
    yield str(action.verb)
    yield from map(str, action.names)
    yield from filter(None, _opened(action, scope))


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
        own = [c for c in calls.all.values() if c.target and c.target in words and not c.thing]
        yield from (c.hazard for c in own if c.hazard in met or c.hazard == c.target)
        return
    of_things = (c for c in calls.all.values() if c.thing and c.target in words)
    yield from (call.hazard for call in of_things if call.hazard in met)
    if verb.name == "test":
        said = {part for word in words for part in word.split()}
        said |= {TESTED[word] for word in said & TESTED.keys()}
        about = (call for word in said for call in calls.opening.get(word, ()))
        yield from (c.hazard for c in about if c.hazard in met and c.target != BATTERY)


def _frozen(index: dict[str, list[Call]]) -> dict[str, tuple[Call, ...]]:
    return {word: tuple(calls) for word, calls in index.items()}


def _add(index: dict[str, list[Call]], call: Call, words: tuple[str, ...]) -> None:
    for word in words:
        index[word].append(call)


def _call(hazard: Hazard | BuiltinHazard, scope: Scope, when: Condition) -> Call:
    """Return the call for a hazard; what makes it safe is told where it is an action of a step."""
    verb, _, words = hazard.made_safe_by.strip().partition(" ")
    known = VERBS.get(verb)
    entity = scope.get(words)
    target = _made_safe(words, hazard.id, entity) if known and known.makes_safe else ""
    thing = bool(known and entity and not target and entity.KIND in known.kinds)
    target = words if thing else target
    return Call(
        hazard.id, hazard.name, verb if target else "", target, hazard.licensed, when, thing
    )


def _made_safe(name: str, own: str, entity: Entity | None) -> str:
    """The hazard that is isolated, relieved or cooled under a name; "" where it names none."""
    builtin = BUILTIN_HAZARDS.get(name)
    behind = builtin.made_safe_by.partition(" ")[2] if builtin else ""
    if KEYWORDS.get(name) == "hazard" or name == own:
        return name
    if builtin:
        return behind if KEYWORDS.get(behind) == "hazard" else name
    return name if isinstance(entity, Hazard) else ""


E = TypeVar("E", bound="Entity")


def speaks_of_builtin(entity: Entity) -> bool:
    """Tell whether it is about a hazard of the library, of which several pages may speak."""
    return isinstance(entity, Hazard) and entity.id in BUILTIN_HAZARDS


def key_of(kind: type[Entity], name: str) -> str:
    """Return the key of an entity whose id another one on its page has: no id has a space."""
    return f"{kind.KIND} {name}"


class Scope:
    """The ids that one page can see, nearest page first.

    Where several have one id, which is a finding, a thing is nearer than a head, and what is asked
    for by its kind is found by it: nothing else follows from the clash.
    """

    __slots__ = ("_all", "_calls", "_hazards", "_levels", "_second", "_shared", "pages")

    def __init__(self, levels: tuple[tuple[str, Mapping[str, Entity]], ...]) -> None:
        """Take (page name, its entities by id) for each level, nearest first."""
        self.pages = tuple(page for page, _ in levels)
        self._levels = tuple(entities for _, entities in levels)
        self._all: dict[type[Entity], tuple[Entity, ...]] = {}
        self._calls: Calls | None = None
        self._second: dict[str, list[Entity]] | None = None
        self._shared: frozenset[str] | None = None
        self._hazards: tuple[Hazard, ...] | None = None

    def get(self, name: str) -> Entity | None:
        """Return the nearest thing with this id, else the nearest head."""
        head = None
        for level in self._levels:
            found = level.get(name)
            if found is not None:
                if found.KIND not in HEADS:
                    return found
                head = head or found
        return head

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
            things = {(e.id, None if speaks_of_builtin(e) else e.place): e for e in found}
            numbers = Counter(each.id for each in things.values() if each.KIND not in HEADS)
            self._shared = frozenset(name for name, number in numbers.items() if number > 1)
        return self._shared

    def all(self, kind: type[E]) -> tuple[E, ...]:
        """Return every entity of a kind that can be seen."""
        if kind not in self._all:
            self._all[kind] = tuple(e for e in self.entities() if isinstance(e, kind))
        return self._all[kind]  # type: ignore[return-value]

    def each_hazard(self) -> Iterator[Hazard]:
        """Yield what each page says of a hazard; of a built-in one several pages may speak."""
        if self._hazards is None:
            things = (entity for level in self._levels for entity in level.values())
            self._hazards = tuple(entity for entity in things if isinstance(entity, Hazard))
        yield from self._hazards

    def hazard(self, name: str) -> Hazard | BuiltinHazard | None:
        """Return a hazard as all pages together have it: the nearest text, the gravest word."""
        said = [hazard for hazard in self.each_hazard() if hazard.id == name]
        if not said:
            return BUILTIN_HAZARDS.get(name)
        return said[0] if len(said) == 1 or name not in BUILTIN_HAZARDS else _together(said)

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


def _together(said: list[Hazard]) -> Hazard:
    """One hazard from what several pages say of it, the nearest first."""
    words = [word.upper() for word in SIGNAL_WORDS]
    return said[0].model_copy(
        update={
            "signal": min((each.signal for each in said), key=words.index),
            "licensed": any(each.licensed for each in said),
            "made_safe_by": next((h.made_safe_by for h in said if h.made_safe_by), ""),
            "called_by": _united(each.called_by for each in said),
            "tools": _united(each.tools for each in said),
            "protection": _united(each.protection for each in said),
            "when": reduce(or_, (each.when for each in said)),
        }
    )


def _united(lists: Iterable[Iterable[Scalar]]) -> tuple[Scalar, ...]:
    return tuple(dict.fromkeys(each for words in lists for each in words))
