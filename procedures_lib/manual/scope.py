"""Where an id is looked up: the page, its kit page, its vehicle page, the common pages."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from procedures_lib.manual.calling import Calls, calls_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from procedures_lib.entities.base import Entity

E = TypeVar("E", bound="Entity")


class Scope:
    """The ids that one page can see, nearest page first."""

    __slots__ = ("_all", "_calls", "_levels", "pages")

    def __init__(self, levels: tuple[tuple[str, Mapping[str, Entity]], ...]) -> None:
        """Take (page name, its entities by id) for each level, nearest first."""
        self.pages = tuple(page for page, _ in levels)
        self._levels = tuple(entities for _, entities in levels)
        self._all: dict[type[Entity], tuple[Entity, ...]] = {}
        self._calls: Calls | None = None

    def get(self, name: str) -> Entity | None:
        """Return the nearest entity with this id, of whatever kind."""
        for level in self._levels:
            if name in level:
                return level[name]
        return None

    def of(self, kind: type[E], name: str) -> E | None:
        """Return the nearest entity with this id if it is of this kind."""
        found = self.get(name)
        return found if isinstance(found, kind) else None

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
        """Yield every entity that can be seen; one hidden by a nearer page is left out."""
        seen: set[str] = set()
        for level in self._levels:
            for name, entity in level.items():
                if name not in seen:
                    seen.add(name)
                    yield entity

    def clashes(self) -> Iterator[tuple[Entity, Entity]]:
        """Yield pairs of entities that share an id on two different levels."""
        seen: dict[str, Entity] = {}
        for level in self._levels:
            for name, entity in level.items():
                if name in seen:
                    yield seen[name], entity
                else:
                    seen[name] = entity
