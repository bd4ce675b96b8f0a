"""What every part of the comparison needs to know of both states: words, lines, uses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property

from procedures_lib.findings import Place
from procedures_lib.judging.compare.change import Thing, Use
from procedures_lib.judging.compare.field_texts import Spots
from procedures_lib.judging.compare.renamed_things import Matches, Words
from procedures_lib.language.entities.base import Entity
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Procedure
from procedures_lib.manual import Manual, Plan

Key = tuple[str, str]
"""(page, id)"""


class Used:
    """The uses of everything in one manual."""

    def __init__(self, manual: Manual) -> None:
        self._manual = manual

    def of(self, entity: Entity, *verbs: str) -> tuple[Use, ...]:
        """Return the procedures whose steps name a thing, with those verbs or with any."""
        steps: dict[str, set[int]] = defaultdict(set)
        for procedure, verb, number in self._index.get((entity.place.page, entity.id), ()):
            if not verbs or verb in verbs:
                steps[procedure].add(number)
        return tuple(Use(name, tuple(sorted(found))) for name, found in sorted(steps.items()))

    def kits(self, entity: Entity, used: Iterable[Use]) -> tuple[str, ...]:
        """Return the kits that hold a thing, and those of the procedures that use it."""
        return tuple(
            sorted(
                self._kits_by_thing.get((entity.place.page, entity.id), set())
                | {kit for use in used if (kit := self._kit_of.get(use.procedure))}
            )
        )

    @cached_property
    def _index(self) -> dict[Key, list[tuple[str, str, int]]]:
        found: dict[Key, list[tuple[str, str, int]]] = defaultdict(list)
        for plan in self._manual.plans():
            known: dict[str, tuple[Key, ...]] = {}
            for numbered in plan.steps:
                for action in numbered.step.actions:
                    for name in map(str, action.objects):
                        if name not in known:
                            known[name] = self.keys(name, plan)
                        for key in known[name]:
                            found[key].append((plan.head.id, str(action.verb), numbered.number))
        return found

    def keys(self, name: str, plan: Plan) -> tuple[Key, ...]:
        """Return the thing that a name means, and the joint whose torque it has taken over."""
        entity = plan.scope.get(name)
        if entity is None:
            return ()
        keys = [(entity.place.page, entity.id)]
        base = self._joint_before(entity, plan)
        return (*keys, (base.place.page, base.id)) if base else tuple(keys)

    def _joint_before(self, entity: Entity, plan: Plan) -> Fastener | None:
        if not isinstance(entity, Fastener) or not entity.tighten:
            return None
        own = self._written.get((entity.place.page, entity.id))
        if isinstance(own, Fastener) and own.tighten:
            return None
        items = plan.kit.contents if plan.kit else ()
        listed = (item.replaces for item in items if item.what == entity.id and item.replaces)
        before = next(listed, entity.replaces)
        return plan.scope.of(Fastener, str(before)) if before else None

    @cached_property
    def _written(self) -> dict[Key, Entity]:
        """What blocks say, without what packing lists add."""
        contents = self._manual.contents.values()
        return {(e.place.page, e.id): e for content in contents for e in content.entities}

    @cached_property
    def _kit_of(self) -> dict[str, str]:
        return {plan.head.id: plan.kit.id for plan in self._manual.plans() if plan.kit}

    @cached_property
    def _kits_by_thing(self) -> dict[Key, set[str]]:
        found: dict[Key, set[str]] = defaultdict(set)
        for kit in self._manual.heads(Kit):
            scope = self._manual.scope(kit.place.page)
            for item in kit.contents:
                entity = scope.get(item.what)
                if entity is not None:
                    found[entity.place.page, entity.id].add(kit.id)
        return found


class Side:
    """One of the two states."""

    def __init__(self, manual: Manual) -> None:
        self.manual = manual
        self._spots: dict[str, Spots] = {}
        self._numbers: dict[tuple[str, str], dict[int, int]] = {}

    @cached_property
    def used(self) -> Used:
        """Who works on what."""
        return Used(self.manual)

    def spots(self, page: str) -> Spots:
        """Return the lines of a page's fields."""
        if page not in self._spots:
            self._spots[page] = Spots(self.manual.contents[page])
        return self._spots[page]

    def place(self, owner: Place, field: str) -> Place:
        """Return where a field of the thing at ``owner`` stands."""
        return self.spots(owner.page).place(owner, field)

    def is_damaged(self, entity: Entity) -> bool:
        """Tell whether an entity was read without all its fields."""
        return self.manual.is_damaged(entity)

    def step_number(self, head: Entity, line: int) -> int:
        """Return the number of the step that begins on a line of a head's page."""
        key = (head.KIND, head.id)
        if key not in self._numbers and isinstance(head, Procedure | Common):
            numbers: dict[int, int] = {}
            for numbered in self.manual.plan(head).steps:
                own = numbered.through or numbered.step
                numbers.setdefault(own.place.line, numbered.number)
            self._numbers[key] = numbers
        return self._numbers.get(key, {}).get(line, 0)

    def users(self, entity: Entity, verbs: tuple[str, ...] = ()) -> tuple[Use, ...]:
        """Return who works on a thing with some verbs; with any when nobody does with these."""
        return (self.used.of(entity, *verbs) if verbs else ()) or self.used.of(entity)


class Context:
    """Both states, and what belongs together in them."""

    def __init__(self, matches: Matches) -> None:
        self.matches = matches
        self.old = Side(matches.old)
        self.new = Side(matches.new)

    def words(self, old: Entity, new: Entity) -> Words:
        """Return how the ids on the pages of two entities are compared."""
        return self.matches.words(old.place.page, new.place.page)


def thing_of(entity: Entity) -> Thing:
    """Return the name of an entity for a report."""
    return Thing(entity.KIND, entity.id, str(getattr(entity, "name", "") or ""))
