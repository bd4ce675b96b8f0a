"""What a thing is called on a page, and the plain words around it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from procedures_lib.entities.base import Entity
    from procedures_lib.manual.scope import Scope

_LONGEST_CHAIN = 8


def humanised(name: str) -> str:
    """An id as words: ``charge-cooler`` is "Charge cooler"."""
    words = name.replace("-", " ")
    return words[:1].upper() + words[1:]


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
