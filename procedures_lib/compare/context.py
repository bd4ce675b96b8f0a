"""What every part of the comparison needs to know of both states: words, lines, uses."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from procedures_lib.compare.change import Thing
from procedures_lib.compare.spots import Spots
from procedures_lib.compare.uses import Used
from procedures_lib.entities.work import Common, Procedure

if TYPE_CHECKING:
    from procedures_lib.compare.change import Use
    from procedures_lib.compare.matching import Matches, Words
    from procedures_lib.entities.base import Entity
    from procedures_lib.findings import Place
    from procedures_lib.manual import Manual


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
