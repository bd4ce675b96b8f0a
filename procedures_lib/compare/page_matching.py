"""Which page of the old state is which of the new one, under another name or not."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from procedures_lib.entities.builder import HEADS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.content import Content


def match_pages(old: dict[str, Content], new: dict[str, Content]) -> dict[str, str]:
    """Match pages by name, then by the heads they hold, then by all ids, then by title."""
    pages = {name: name for name in old if name in new}
    for traits in (_heads, _ids, _title):
        left = {n: t for n, c in old.items() if n not in pages and (t := traits(c))}
        taken = set(pages.values())
        right = {n: t for n, c in new.items() if n not in taken and (t := traits(c))}
        pages.update(_unique(left, right))
    return pages


def _heads(content: Content) -> frozenset[str]:
    return frozenset(f"{e.KIND} {e.id}" for e in content.entities if e.KIND in HEADS)


def _ids(content: Content) -> frozenset[str]:
    return frozenset(e.id for e in content.entities)


def _title(content: Content) -> frozenset[str]:
    return frozenset([content.page.title] if content.page.title else [])


def _unique(
    left: dict[str, frozenset[str]], right: dict[str, frozenset[str]]
) -> Iterator[tuple[str, str]]:
    """Yield the names whose traits are equal, where each side has only one such."""
    counts = Counter(left.values()), Counter(right.values())
    by_traits = {traits: name for name, traits in right.items()}
    for name, traits in left.items():
        if counts[0][traits] == counts[1][traits] == 1:
            yield name, by_traits[traits]
