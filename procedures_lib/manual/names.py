"""What a thing is called, and how its name stands in a sentence."""

from __future__ import annotations

import re

from procedures_lib.language.entities.entity import Entity
from procedures_lib.manual.scope import Scope

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


def cited(entity: Entity, scope: Scope) -> str:
    """An entity's name as a text mentions it: small inside a sentence, a rule's in quotes."""
    name = name_of(entity, scope)
    return f"“{name}”" if entity.KIND == "rule" else small(name)


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
