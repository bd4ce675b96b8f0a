"""Reading: states that a procedure begins with, misspelt."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING

from procedures_lib.entities.work import Common, Procedure
from procedures_lib.findings import Finding, Place
from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual

_STATES = ("as it arrives", "raised", "vehicle-raised", "battery-isolated", "battery-off")
_OFF = "-off"
_ALIKE = 0.85
"""How like a known state a word must be to be taken for a slip (difflib ratio)."""


def begins_with(manual: Manual, page: str) -> Iterator[Finding]:
    """Find words of `begins-with` that are so like a state, or an id, that they must be slips.

    Any other word is a state that this manual does not model, and is let pass.
    """
    if not manual.sees_all(page):
        return
    for entity in manual.entities_on(page).values():
        for word in entity.begins_with if isinstance(entity, Procedure) else ():
            if _is_known(manual, page, word) or _is_known(manual, page, word.removesuffix(_OFF)):
                continue
            near = get_close_matches(word, _known(manual, page), n=1, cutoff=_ALIKE)
            if near:
                line = word.line if isinstance(word, Scalar) else entity.place.line
                said = f"`begins-with` names `{word}`, which is no state and no id"
                yield Finding(Place(page, line), "unknown-id", said, f"did you mean `{near[0]}`?")


def _is_known(manual: Manual, page: str, word: str) -> bool:
    heads = (manual.head(Procedure, word), manual.head(Common, word))
    return word in _STATES or any(heads) or manual.scope(page).get(word) is not None


def _known(manual: Manual, page: str) -> list[str]:
    ids = list(manual.scope(page).ids())
    heads = [head.id for kind in (Procedure, Common) for head in manual.heads(kind)]
    return [*_STATES, *heads, *ids, *(f"{name}{_OFF}" for name in ids)]
