"""What belongs together on a car: which steps touch the same things, or neighbours of them."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from procedures_lib.language.entities.car import Fluid
from procedures_lib.language.entities.entity import references
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.verbs import VERBS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from procedures_lib.language.entities.work import Action
    from procedures_lib.manual import Scope

EVERYWHERE = frozenset(
    {"raise", "lower", "isolate", "restore", "relieve", "cool", "program", "test", "drain", "fill",
     "bleed", "modify"}
)  # fmt: skip
"""Verbs that concern the whole car: what is done under them has to do with everything."""


class Relations:
    """The neighbours of each thing that one page can see."""

    def __init__(self, scope: Scope) -> None:
        self._near: dict[str, set[str]] = defaultdict(set)
        for entity in scope.entities():
            for reference in references(entity):
                if not isinstance(entity, Kit) and scope.get(reference.target) is not None:
                    self._join(entity.id, str(reference.target))
            if isinstance(entity, Fluid):
                for name in entity.drain:
                    self._join(entity.id, str(name))
            if isinstance(entity, Kit):
                for item in entity.contents:
                    if item.replaces:
                        self._join(item.what, str(item.replaces))

    def _join(self, one: str, two: str) -> None:
        self._near[one].add(two)
        self._near[two].add(one)

    def around(self, names: Iterable[str]) -> frozenset[str]:
        """Return things with their neighbours."""
        found: set[str] = set()
        for name in names:
            found |= {name, *self._near.get(name, ())}
        return frozenset(found)

    def apart(self, one: Iterable[Action], two: Iterable[Action]) -> bool:
        """Tell whether two lists of actions have nothing to do with one another."""
        one, two = list(one), list(two)
        if any(_is_everywhere(action) for action in (*one, *two)):
            return False
        return not self.around(_objects(one)) & self.around(_objects(two))


def _is_everywhere(action: Action) -> bool:
    return action.verb in EVERYWHERE or not VERBS[str(action.verb)].kinds


def _objects(actions: Iterable[Action]) -> list[str]:
    named = [str(name) for action in actions for name in action.objects]
    return named + [str(action.on) for action in actions if action.on]
