"""Twins: what stands on the left of a car and what stands on its right, which say the same."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

from procedures_lib.findings import Finding
from procedures_lib.judging.checks.prose import SIDES
from procedures_lib.language.entities.entity import Entity, fields_of
from procedures_lib.manual import Manual

_SIDE = re.compile(r"(?<![A-Za-z])(left|right)(?![A-Za-z])")
_FREE = frozenset({
    "name", "also", "note", "number", "source", "turns", "positions", "order", "behind",
    "hidden-by", "shows", "seen", "file",
})  # fmt: skip
"""What differs from side to side on a correct page, or is compared otherwise.

What is in the way differs; a left-hand thread on one side is common on hubs and wheels; a sheet
prints each side on its page; two pictures are taken from where one sees best.
"""
_UNORDERED = frozenset({"between", "held_by", "clamp", "closes", "exposed_by"})


def other_side(text: str) -> str:
    """Return a text with left and right exchanged."""
    return _SIDE.sub(lambda match: SIDES[match[1]], text)


def twins(manual: Manual, page: str) -> Iterator[Finding]:
    """Find what is said of the left and not of the right, or otherwise, and no note says why."""
    found = {each.id: each for each in manual.contents[page].entities}
    for left in [each for name, each in found.items() if "left" in name.split("-")]:
        right = found.get(other_side(left.id))
        if right is None or type(right) is not type(left) or _is_explained(left, right):
            continue
        if manual.is_damaged(left) or manual.is_damaged(right):
            continue
        differs = list(_differences(left, right))
        if differs:
            said = f"`{right.id}` says otherwise than `{left.id}`: {'; '.join(differs)}"
            hint = "correct one of the two, or say in a `note` why they differ"
            yield Finding(right.place, "twins-differ", said, hint, related=(left.place,))


def _is_explained(left: Entity, right: Entity) -> bool:
    return bool(getattr(left, "note", "") or getattr(right, "note", ""))


def _differences(left: Entity, right: Entity) -> Iterator[str]:
    for written, attribute in fields_of(type(left)).items():
        one, other = getattr(left, attribute), getattr(right, attribute)
        if written in _FREE or one == other:
            continue
        mirrored, said = other_side(_text(left, attribute, one)), _text(right, attribute, other)
        if attribute in _UNORDERED and sorted(mirrored.split(", ")) == sorted(said.split(", ")):
            continue
        if mirrored != said:
            yield f"`{written}` {said or 'not given'}, for {mirrored or 'nothing'}"
    if bool(getattr(left, "order", ())) != bool(getattr(right, "order", ())):
        yield "`order` given for one of them alone"
    if _spread(left) != _spread(right):
        yield "`positions`"


def _text(entity: Entity, attribute: str, value: Any) -> str:
    """What a field says, as a page would write it."""
    if value in (None, (), ""):
        return ""
    dumped = entity.model_dump(mode="json", include={attribute})[attribute]
    if isinstance(dumped, list) and all(isinstance(each, str) for each in dumped):
        return ", ".join(dumped)
    return dumped if isinstance(dumped, str) else json.dumps(dumped, ensure_ascii=False)


def _spread(entity: Entity) -> dict[str, tuple[float, float]]:
    """Where each fastener of a pattern is, from left or from right: one is the other mirrored."""
    positions = getattr(entity, "positions", ())
    return {
        other_side(name) if _is_right(entity) else name: (abs(x), y) for name, (x, y) in positions
    }


def _is_right(entity: Entity) -> bool:
    return "right" in entity.id.split("-")
