"""Who works on a thing: procedures with their steps, and kits; worked out once, when asked for."""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property
from typing import TYPE_CHECKING

from procedures_lib.compare.change import Use
from procedures_lib.entities.car import Fastener
from procedures_lib.entities.kit import Kit

if TYPE_CHECKING:
    from collections.abc import Iterable

    from procedures_lib.entities.base import Entity
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
