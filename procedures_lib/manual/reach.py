"""Which pages a page's findings depend on, besides the ids of the heads of all the others."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.kit import Kit
from procedures_lib.entities.work import Common, Job, Procedure

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from procedures_lib.entities.base import Entity
    from procedures_lib.manual.manual import Manual


def needed(manual: Manual, pages: Iterable[str]) -> set[str]:
    """Return the pages, all that they can see, and all that leans on them and is judged there.

    A kit is judged with its procedures, a job with those that it calls for, a procedure with those
    that it begins with. An outline of each page tells enough for that.
    """
    found: set[str] = set()
    left = set(pages)
    while left:
        page = left.pop()
        if page not in found and page in manual.contents:
            found.update((page, *manual.scope(page).pages))
            left.update(_judged_with(manual, page))
    return found


def _judged_with(manual: Manual, page: str) -> Iterator[str]:
    for entity in manual.entities_on(page).values():
        if isinstance(entity, Kit):
            yield from manual.pages_by_kit.get(entity.id, ())
        else:
            yield from (head.place.page for head in _heads(manual, entity))


def _heads(manual: Manual, entity: Entity) -> Iterator[Entity]:
    """Yield the procedures and common steps that a job or a procedure is made of, or begins with.

    They are on pages that it sees already; what those begin with, and their kits, may not be.
    """
    if isinstance(entity, Job):
        names = list(map(str, entity.procedures))
    elif isinstance(entity, Procedure):
        names = [str(word).strip() for word in entity.begins_with]
    else:
        return
    for name in names:
        for head in (manual.head(Procedure, name), manual.head(Common, name)):
            if head is not None:
                yield head
