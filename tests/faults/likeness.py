"""What a tired writer takes for another thing: of the same kind, with a name that looks alike."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from procedures_lib.language.entities.entity import Entity
    from tests.faults.demo import Demo

SIDES = (
    ("left", "right"), ("front", "rear"), ("upper", "lower"), ("inner", "outer"), ("hot", "cold"),
    ("in", "out"), ("feed", "purge"), ("drain", "fill"),
)  # fmt: skip
MOST = 2
"""So many of the things that look most alike are taken."""


def other_side(text: str) -> str:
    """Return a text with left and right, front and rear … exchanged; as it was without any."""
    swaps = {a: b for pair in SIDES for a, b in (pair, pair[::-1])}
    pattern = re.compile(r"(?<![A-Za-z])(" + "|".join(swaps) + r")(?![A-Za-z])")
    return pattern.sub(lambda match: swaps[match[1]], text)


def similar(demo: Demo, page: str, name: str, taken: tuple[str, ...] = ()) -> list[str]:
    """Return ids that may stand for ``name`` by mistake on a page, the likeliest first."""
    scope = demo.manual.scope(page)
    thing = scope.get(name)
    if thing is None:
        return _similar_fixed(demo, page, name)
    ranked = []
    for other in scope.entities():
        if other.KIND == thing.KIND and other.id != name and other.id not in taken:
            likeness = _likeness(thing, other)
            if likeness >= 2:
                ranked.append((-likeness, other.id))
    return [other for _, other in sorted(ranked)[:MOST]]


def _similar_fixed(demo: Demo, page: str, name: str) -> list[str]:
    """Of the things that the car only names: the turbo's inlet for its outlet."""
    for entity in demo.manual.scope(page).entities():
        fixed = [str(other) for other in getattr(entity, "fixed", ())]
        if name in fixed:
            return [other for other in fixed if other != name and _words(other) & _words(name)]
    return []


def _likeness(one: Entity, two: Entity) -> int:
    if other_side(one.id) == two.id:
        return 9
    same = _words(one.id) & _words(two.id)
    kinds = getattr(one, "kind", "") == getattr(two, "kind", "")
    return 2 * len(same) + int(kinds)


def _words(name: str) -> set[str]:
    return {word.rstrip("s") for word in name.split("-")}
