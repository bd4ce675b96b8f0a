"""Which page and which thing of the old state is which of the new one, renamed or not."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from functools import cached_property

from procedures_lib.judging.compare.field_texts import Said, said
from procedures_lib.judging.compare.sequences import mutual_best
from procedures_lib.language.entities.base import Entity
from procedures_lib.language.entities.builder import COLLECTIONS, HEADS
from procedures_lib.language.entities.content import Content
from procedures_lib.manual import Manual


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


_ALIKE = 0.75
"""How much of two things' fields must be equal for one to be taken for the other, renamed."""
_MOST_PAIRS = 40_000
_NAMES = ("name", "number", "source")
_KINDS = [model.KIND for model in COLLECTIONS.values()]
_ORDER = ["fastener", *(kind for kind in _KINDS if kind != "fastener"), *HEADS]
"""Fasteners first: the others name them."""

Key = tuple[str, str]
"""(page, id)"""


@dataclass
class Matches:
    """What belongs together in two states of a manual.

    ``pages`` maps old page names to new ones; ``pairs`` holds the entities of both states;
    ``ids`` maps (old page, old id) to a new id, for those that were renamed.
    """

    old: Manual
    new: Manual
    pages: dict[str, str] = field(default_factory=dict)
    pairs: list[tuple[Entity, Entity]] = field(default_factory=list)
    dropped: list[Entity] = field(default_factory=list)
    added: list[Entity] = field(default_factory=list)
    ids: dict[Key, str] = field(default_factory=dict)

    @cached_property
    def written(self) -> set[Key]:
        """What blocks of the new state define; what a packing list alone names is not among it."""
        contents = self.new.contents.values()
        return {(e.place.page, e.id) for content in contents for e in content.entities}

    def words(self, old_page: str, new_page: str) -> Words:
        """Return how the ids on a page are compared, as far as they are renamed by now."""
        return Words(self, old_page, new_page)


@dataclass(frozen=True, slots=True)
class Words:
    """The words of one page in both states: an id that was renamed counts as its new one."""

    matches: Matches
    old_page: str
    new_page: str

    def old(self, word: str) -> str:
        """Return what a word of the old page is called now."""
        matches = self.matches
        if not matches.ids:
            return word
        entity = matches.old.scope(self.old_page).get(word)
        return matches.ids.get((entity.place.page, entity.id), word) if entity else word

    def new(self, word: str) -> str:
        """Return a word of the new page; one left behind by a renaming as what it now should be."""
        matches = self.matches
        if not matches.ids or word not in self._renamed:
            return word
        entity = matches.new.scope(self.new_page).get(word)
        known = entity is not None and (entity.place.page, entity.id) in matches.written
        return word if known else self.old(word)

    @property
    def _renamed(self) -> set[str]:
        return {name for _, name in self.matches.ids}


def match(old: Manual, new: Manual, skipped: frozenset[str]) -> Matches:
    """Match the pages, then their entities; pages in ``skipped`` are left out on both sides."""
    matches = Matches(old, new)
    left = {name: c for name, c in old.contents.items() if name not in skipped}
    right = {name: c for name, c in new.contents.items() if name not in skipped}
    matches.pages = match_pages(left, right)
    dropped = {(e.place.page, e.id): e for c in left.values() for e in _first_of_each(c)}
    added = {(e.place.page, e.id): e for c in right.values() for e in _first_of_each(c)}
    for old_page, new_page in matches.pages.items():
        for entity in _first_of_each(left[old_page]):
            other = added.get((new_page, entity.id))
            if other is not None and other.KIND == entity.KIND:
                _pair(matches, entity, other, dropped, added)
    for kind in _ORDER:
        _match_renamed(matches, kind, dropped, added)
    for kind in HEADS:
        _match_only_heads(matches, kind, dropped, added)
    matches.dropped = list(dropped.values())
    matches.added = list(added.values())
    return matches


def _first_of_each(content: Content) -> Iterator[Entity]:
    seen: set[str] = set()
    for entity in content.entities:
        if entity.id not in seen:
            seen.add(entity.id)
            yield entity


def _pair(
    matches: Matches, old: Entity, new: Entity, dropped: dict[Key, Entity], added: dict[Key, Entity]
) -> None:
    matches.pairs.append((old, new))
    del dropped[old.place.page, old.id], added[new.place.page, new.id]
    if old.id != new.id:
        matches.ids[old.place.page, old.id] = new.id


def _match_renamed(
    matches: Matches, kind: str, dropped: dict[Key, Entity], added: dict[Key, Entity]
) -> None:
    """Pair what was renamed on its page, and what moved to another page under its id."""
    left = [e for e in dropped.values() if kind == e.KIND]
    right = [e for e in added.values() if kind == e.KIND]
    if not left or not right:
        return
    old = {id(e): _explicit(e, matches.words(e.place.page, "").old) for e in left}
    new = {id(e): _explicit(e, str) for e in right}
    by_page: dict[str, list[Entity]] = defaultdict(list)
    by_id: dict[str, list[Entity]] = defaultdict(list)
    for entity in right:
        by_page[entity.place.page].append(entity)
        by_id[entity.id].append(entity)
    for at_page in (True, False):
        groups = defaultdict(list)
        for entity in left:
            page = matches.pages.get(entity.place.page, "")
            groups[page if at_page else entity.id].append(entity)
        for name, ones in groups.items():
            others = (by_page if at_page else by_id).get(name, [])
            free = [e for e in others if (e.place.page, e.id) in added]
            for a, b in _best([e for e in ones if (e.place.page, e.id) in dropped], free, old, new):
                _pair(matches, a, b, dropped, added)


def _match_only_heads(
    matches: Matches, kind: str, dropped: dict[Key, Entity], added: dict[Key, Entity]
) -> None:
    """Pair the one head of a kind that a page lost with the one that it got."""
    left, right = _only_by_page(dropped, kind), _only_by_page(added, kind)
    for page, entity in left.items():
        other = right.get(matches.pages.get(page, ""))
        if entity is not None and other is not None:
            _pair(matches, entity, other, dropped, added)


def _only_by_page(entities: dict[Key, Entity], kind: str) -> dict[str, Entity | None]:
    """The entity of a kind by its page; None where a page has several."""
    found: dict[str, Entity | None] = {}
    for (page, _), entity in entities.items():
        if kind == entity.KIND:
            found[page] = None if page in found else entity
    return found


def _best(
    left: list[Entity], right: list[Entity], old: dict[int, Said], new: dict[int, Said]
) -> Iterable[tuple[Entity, Entity]]:
    if not 0 < len(left) * len(right) <= _MOST_PAIRS:
        return []

    def score(a: Entity, b: Entity) -> float:
        return _likeness(a, b, old[id(a)], new[id(b)])

    return [(left[n], right[m]) for n, m in mutual_best(left, right, score, _ALIKE)]


def _likeness(a: Entity, b: Entity, old: Said, new: Said) -> float:
    """Return the share of equal fields; 0 for things that have little to tell them by."""
    equal = sum(1 for name, text in old.items() if new.get(name) == text)
    if equal / (len(old.keys() | new.keys()) or 1) < _ALIKE - 0.02:
        return 0.0
    first, second = sorted((a.id, b.id))
    alike_ids: float = SequenceMatcher(None, first, second).ratio()
    named = any(old.get(name) and old.get(name) == new.get(name) for name in _NAMES)
    if not named and alike_ids < 0.5:
        return 0.0
    return (equal + alike_ids / 100) / (len(old.keys() | new.keys()) or 1)


def _explicit(entity: Entity, word: Callable[[str], str]) -> Said:
    """Return what an entity says beyond the defaults, old ids as they are called now."""
    texts = said(entity, word)
    plain = {"count": "1", "reuse": "true", "turns": "right", "kind": "part"}
    return {name: text for name, text in texts.items() if plain.get(name) != text}
