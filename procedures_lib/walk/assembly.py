"""The things of a car and its kit: what holds, carries, hides and takes the place of what."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import Any, TypeVar

from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import ContentItem
from procedures_lib.manual import Plan
from procedures_lib.walk import states, vital
from procedures_lib.walk.states import Key, Kind

Thing = Part | Connection | Fastener | Opening | Fluid
T = TypeVar("T", bound=Thing)
K = TypeVar("K", Key, str)

_KINDS: dict[type[Entity], Kind] = {
    Part: states.PART,
    Connection: states.CONNECTION,
    Fastener: states.FASTENER,
    Opening: states.OPENING,
    Fluid: states.FLUID,
}


class Assembly:
    """Everything that a plan can see of its car and kit, by key, with the relations both ways.

    A *line* is a thing with all that takes its place, one after the other; it is named by the
    oldest. A part that replaces another takes over what holds it, its connections and its
    openings, but for those that the kit gives anew. ``items`` are the lines of the packing list.
    """

    def __init__(self, plan: Plan) -> None:
        """Resolve the scope of a plan."""
        self.plan = plan
        self.keys: dict[str, Key] = {}
        self.things: dict[Key, Thing] = {}
        self._of_kind: dict[type[Entity], list[tuple[Key, Any]]] = {kind: [] for kind in _KINDS}
        for entity in plan.scope.entities():
            kind = _KINDS.get(type(entity))
            if kind is not None:
                key = self.keys[entity.id] = Key(kind, entity.id)
                self.things[key] = entity  # type: ignore[assignment]
                self._of_kind[type(entity)].append((key, entity))
        contents = plan.kit.contents if plan.kit else ()
        self.items: dict[str, ContentItem] = {item.what: item for item in contents}
        self.replaced: dict[Key, Key] = {}
        """What each thing that takes another's place directly takes the place of."""
        for key, thing in self.things.items():
            item = self.items.get(key.id)
            named = getattr(thing, "replaces", None) or (item.replaces if item else None)
            old = self.keys.get(named) if named is not None else None
            if old is not None and old != key and {old.kind, key.kind} <= states.BOXED:
                self.replaced[key] = old
        self._lines: dict[Key, Key] = {}

    def known(self, names: Iterable[str]) -> tuple[Key, ...]:
        """Return the keys of those ids that name a thing."""
        keys = self.keys
        return tuple([keys[name] for name in names if name in keys])

    def of_kind(self, kind: type[T]) -> list[tuple[Key, T]]:
        """Return the things of a kind, with their keys."""
        return self._of_kind[kind]

    def entity(self, key: Key) -> Entity | None:
        """Return what the key names, also where that is none of the things."""
        return self.things.get(key) if key.id in self.keys else self.plan.scope.get(key.id)

    # -- what took the place of what ---------------------------------------------------------------

    def line(self, key: Key) -> Key:
        """Return the oldest thing in whose place this one stands."""
        if key not in self.replaced:
            return key
        found = self._lines.get(key)
        if found is None:
            seen = {key: None}
            found = key
            while (older := self.replaced.get(found)) is not None and older not in seen:
                seen[older] = None
                found = older
            if found in self.replaced:
                found = min(seen, key=lambda each: each.id)
            self._lines[key] = found
        return found

    @cached_property
    def members(self) -> dict[Key, tuple[Key, ...]]:
        """The things of each line that has more than one."""
        lines: dict[Key, list[Key]] = defaultdict(list)
        for key in self.replaced:
            lines[self.line(key)].append(key)
        return {line: tuple(dict.fromkeys((line, *keys))) for line, keys in lines.items()}

    def of_line(self, line: Key) -> tuple[Key, ...]:
        """Return the things of a line, the oldest first."""
        return self.members.get(line, (line,))

    @cached_property
    def newer(self) -> dict[Key, list[Key]]:
        """What directly replaces each thing."""
        found: dict[Key, list[Key]] = defaultdict(list)
        for new, old in self.replaced.items():
            found[old].append(new)
        return found

    def older(self, key: Key) -> Iterator[Key]:
        """Yield what a thing replaces, and what that replaced."""
        seen = {key}
        while (old := self.replaced.get(key)) is not None and old not in seen:
            seen.add(old)
            yield old
            key = old

    # -- what holds what ---------------------------------------------------------------------------

    @cached_property
    def holders(self) -> dict[Key, tuple[Key, ...]]:
        """The fasteners that hold each part or connection, its own or those it takes over."""
        found = {}
        for key, thing in self.things.items():
            named = _holders(thing)
            if not named and isinstance(thing, Part):
                named = self._taken_over(key)
            if named:
                known = self.known(named)
                found[key] = tuple([each for each in known if each.kind is states.FASTENER])
        return found

    def _taken_over(self, key: Key) -> tuple[str, ...]:
        olds = (self.things[old] for old in self.older(key))
        return next((old.held_by for old in olds if isinstance(old, Part) and old.held_by), ())

    @cached_property
    def users_named(self) -> dict[Key, tuple[Key, ...]]:
        """The parts and connections that name each fastener as what holds them."""
        return _gathered(
            (holder, key)
            for key, thing in self.things.items()
            for holder in self.known(_holders(thing))
        )

    @cached_property
    def users(self) -> dict[Key, tuple[Key, ...]]:
        """The parts and connections that each line of fasteners holds, with the rest of its stack.

        What a bolt holds, its nut and its washers hold with it.
        """
        found = _gathered(
            (self.line(holder), key) for key, all_ in self.holders.items() for holder in all_
        )
        for stack in self.whole_stacks:
            together = dict.fromkeys(user for line in stack for user in found.get(line, ()))
            if together:
                found.update(dict.fromkeys(stack, tuple(together)))
        return found

    # -- what lies under what in a joint -----------------------------------------------------------

    @cached_property
    def stacks(self) -> dict[Key, tuple[Key, ...]]:
        """The lines that each fastener clamps or locks, in the order in which they go on."""
        found = {}
        for key, group in self.of_kind(Fastener):
            named = group.with_ or self._stack_taken_over(key)
            lines = [self.line(each) for each in self.known(named) if each.kind in _IN_A_STACK]
            under = tuple([line for line in dict.fromkeys(lines) if line != self.line(key)])
            if under:
                found[key] = under
        return found

    def _stack_taken_over(self, key: Key) -> tuple[str, ...]:
        olds = (self.things[old] for old in self.older(key))
        return next((old.with_ for old in olds if isinstance(old, Fastener) and old.with_), ())

    @cached_property
    def over(self) -> dict[Key, tuple[Key, ...]]:
        """The fasteners that clamp or lock each line of fasteners or parts."""
        return _gathered((line, top) for top, lines in self.stacks.items() for line in lines)

    @cached_property
    def whole_stacks(self) -> list[set[Key]]:
        """The lines that belong to one stack, for each stack."""
        whole: list[set[Key]] = []
        for top, lines in self.stacks.items():
            stack = {self.line(top), *lines}
            apart = []
            for other in whole:
                if stack.isdisjoint(other):
                    apart.append(other)
                else:
                    stack |= other
            whole = [*apart, stack]
        return whole

    @cached_property
    def behind(self) -> dict[Key, tuple[Key, ...]]:
        """The parts and connections that are in front of each part or connection."""
        found = {}
        for key, thing in self.things.items():
            if isinstance(thing, Part | Connection) and thing.behind:
                fronts = (each for each in self.known(thing.behind) if each != key)
                found[key] = tuple([each for each in fronts if each.kind in _IN_FRONT])
        return found

    @cached_property
    def hidden(self) -> dict[Key, tuple[Key, ...]]:
        """What must be off or open while one works on each thing."""
        found = {}
        for key, thing in self.things.items():
            named = getattr(thing, "hidden_by", ())
            if named:
                found[key] = tuple([each for each in self.known(named) if each.kind in _HIDES])
        return found

    @cached_property
    def hard_to_reach(self) -> frozenset[Key]:
        """What is hidden, or reached from below only."""
        below = (key for key, each in self.things.items() if getattr(each, "reached_from", None))
        return frozenset({*self.hidden, *below})

    @cached_property
    def with_setting(self) -> frozenset[Key]:
        """What is adjusted to a setting."""
        return frozenset(k for k, each in self.things.items() if getattr(each, "setting", ""))

    # -- what a part carries, and what ends at it --------------------------------------------------

    @cached_property
    def carrier(self) -> dict[Key, Key]:
        """The part that each part is on as the pages say it, where that is modelled."""
        found = {}
        for key, _ in self.of_kind(Part):
            on = self._on(key)
            if on is not None and on != key and on.kind is states.PART:
                found[key] = on
        return found

    def _on(self, key: Key) -> Key | None:
        for each in (key, *self.older(key)):
            thing = self.things[each]
            if isinstance(thing, Part) and thing.on is not None:
                return self.keys.get(thing.on)
        return None

    @cached_property
    def children(self) -> dict[Key, tuple[Key, ...]]:
        """The parts that are on each part as the pages say it."""
        return _gathered((on, key) for key, on in self.carrier.items())

    @cached_property
    def ends(self) -> dict[Key, tuple[Key, ...]]:
        """The lines of the modelled parts at the ends of each connection."""
        return {
            key: tuple([self.line(e) for e in self.known(each.between) if e.kind is states.PART])
            for key, each in self.of_kind(Connection)
        }

    def ends_known(self, connection: Key) -> bool:
        """Tell whether both ends of a connection are modelled parts."""
        thing = self.things[connection]
        return isinstance(thing, Connection) and len(self.ends[connection]) == len(thing.between)

    @cached_property
    def connections(self) -> dict[Key, tuple[Key, ...]]:
        """The connections that end at each line of parts."""
        return _gathered((line, key) for key, lines in self.ends.items() for line in lines)

    @cached_property
    def alike(self) -> dict[str, tuple[Key, ...]]:
        """The connections of each group that looks alike."""
        return _gathered((str(c.alike), key) for key, c in self.of_kind(Connection) if c.alike)

    @cached_property
    def carrying(self) -> dict[str, tuple[Key, ...]]:
        """The lines of connections that carry each fluid."""
        pairs = ((c.carries, self.line(key)) for key, c in self.of_kind(Connection))
        return _gathered((carried, line) for carried, line in pairs if carried)

    @cached_property
    def wheels(self) -> tuple[Key, ...]:
        """The road wheels, old and new, by their ids: `front-wheels`, not `steering-wheel`."""
        return tuple(key for key, _ in self.of_kind(Part) if vital.is_road_wheel(key.id))

    def steers(self, key: Key) -> bool:
        """Tell whether a thing is of the steering, or holds what is."""
        named = (key, *self.users.get(self.line(key), ()))
        return any(vital.steers(each.id) for each in named)

    # -- openings and fluids -----------------------------------------------------------------------

    @cached_property
    def closers(self) -> dict[Key, tuple[Key, ...]]:
        """What closes each opening, as far as it is known."""
        return {key: self.known(opening.exposed_by) for key, opening in self.of_kind(Opening)}

    @cached_property
    def closed_for_good(self) -> dict[Key, tuple[Key, ...]]:
        """What shuts each opening for good while it is in place, beside what closed it before."""
        return _gathered(
            (opening, key)
            for key, thing in self.things.items()
            if isinstance(thing, Part | Fastener)
            for opening in self.known(thing.closes)
        )

    def closers_known(self, opening: Key) -> bool:
        """Tell whether all that closes an opening is known; if not, a finding says so."""
        thing = self.things[opening]
        return isinstance(thing, Opening) and len(self.closers[opening]) == len(thing.exposed_by)

    @cached_property
    def openings(self) -> dict[Key, tuple[Key, ...]]:
        """The openings that each line of parts or connections closes."""
        return _gathered((self.line(by), key) for key, all_ in self.closers.items() for by in all_)

    @cached_property
    def fluids(self) -> dict[str, tuple[Key, ...]]:
        """The fluids of each kind."""
        return _gathered((str(fluid.kind), key) for key, fluid in self.of_kind(Fluid))


def _holders(thing: Thing) -> tuple[str, ...]:
    """Return the ids of what holds a thing, as it names them."""
    if isinstance(thing, Part):
        return thing.held_by
    return thing.holders if isinstance(thing, Connection) else ()


_IN_FRONT = (states.PART, states.CONNECTION)
_HIDES = (*_IN_FRONT, states.FASTENER)
_IN_A_STACK = (states.PART, states.FASTENER)


def _gathered(pairs: Iterable[tuple[K, Key]]) -> dict[K, tuple[Key, ...]]:
    """Gather the second of each pair by the first, each once, in the order they come."""
    found: dict[K, dict[Key, None]] = defaultdict(dict)
    for first, second in pairs:
        found[first][second] = None
    return {first: tuple(keys) for first, keys in found.items()}
