"""Which page and which thing of the old state is which of the new one, renamed or not."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from operator import attrgetter

from procedures_lib.judging.compare.rows import mutual_best
from procedures_lib.judging.compare.side import Key, Side, Texts, key_of, traits_of
from procedures_lib.language.entities.builder import COLLECTIONS, HEADS
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.work import Content
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

Entities = dict[Key, Entity]


@dataclass
class Matches:
    """Two states of a manual, and what belongs together in them.

    ``pages`` maps old page names to new ones; ``pairs`` holds the entities of both states;
    ``ids`` maps (old page, old id) to a new id, for those that were renamed, ``old_ids`` are their
    old ones. What only one of the states has is in ``dropped`` or in ``added``.
    """

    old: Side
    new: Side
    pages: dict[str, str]
    dropped: Entities
    added: Entities
    pairs: list[tuple[Entity, Entity]] = field(default_factory=list)
    ids: dict[Key, str] = field(default_factory=dict)
    old_ids: set[str] = field(default_factory=set)

    def pair(self, old: Entity, new: Entity) -> None:
        """Note that two entities are one."""
        self.pairs.append((old, new))
        del self.dropped[key_of(old)], self.added[key_of(new)]
        if old.id != new.id:
            self.ids[key_of(old)] = new.id
            self.old_ids.add(old.id)

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
        ids = self.matches.ids
        entity = self.matches.old.manual.scope(self.old_page).get(word) if ids else None
        return ids.get(key_of(entity), word) if entity else word

    def new(self, word: str) -> str:
        """Return a word of the new page; one left behind by a renaming as what it now should be."""
        if word not in self.matches.old_ids:
            return word
        side = self.matches.new
        entity = side.manual.scope(self.new_page).get(word)
        return word if entity and key_of(entity) in side.written else self.old(word)


def match(old: Manual, new: Manual, skipped: frozenset[str]) -> Matches:
    """Match the pages, then their entities; pages in ``skipped`` are left out on both sides."""
    left, right = (
        {name: c for name, c in manual.contents.items() if name not in skipped}
        for manual in (old, new)
    )
    matches = Matches(
        Side(old), Side(new), match_pages(left, right), _entities(left), _entities(right)
    )
    for key, entity in list(matches.dropped.items()):
        other = matches.added.get((matches.pages.get(key[0], ""), entity.id))
        if other is not None and other.KIND == entity.KIND:
            matches.pair(entity, other)
    for kind in _ORDER:
        _match_renamed(matches, kind)
    for kind in HEADS:
        _match_only_heads(matches, kind)
    return matches


def _entities(contents: dict[str, Content]) -> Entities:
    """The entities of some pages; of two with one id on a page, the first."""
    found: Entities = {}
    for content in contents.values():
        for entity in content.entities:
            found.setdefault(key_of(entity), entity)
    return found


def _match_renamed(matches: Matches, kind: str) -> None:
    """Pair what was renamed on its page, and what moved to another page under its id."""
    left = [e for e in matches.dropped.values() if kind == e.KIND]
    right = [e for e in matches.added.values() if kind == e.KIND]
    if not left or not right:
        return
    old = {id(e): traits_of(e, matches.words(e.place.page, "").old) for e in left}
    new = {id(e): traits_of(e) for e in right}

    def page_now(entity: Entity) -> str:
        return matches.pages.get(entity.place.page, "")

    def score(a: Entity, b: Entity) -> float:
        return _likeness(a, b, old[id(a)], new[id(b)])

    by_page, by_id = (page_now, attrgetter("place.page")), (attrgetter("id"), attrgetter("id"))
    for of_old, of_new in (by_page, by_id):
        groups: dict[str, tuple[list[Entity], list[Entity]]] = defaultdict(lambda: ([], []))
        for entity in left:
            groups[of_old(entity)][0].append(entity)
        for entity in right:
            groups[of_new(entity)][1].append(entity)
        for ones, others in groups.values():
            mine = [e for e in ones if key_of(e) in matches.dropped]
            theirs = [e for e in others if key_of(e) in matches.added]
            for n, m in mutual_best(mine, theirs, score, _ALIKE, _MOST_PAIRS):
                matches.pair(mine[n], theirs[m])


def _match_only_heads(matches: Matches, kind: str) -> None:
    """Pair the one head of a kind that a page lost with the one that it got."""
    left, right = _only_by_page(matches.dropped, kind), _only_by_page(matches.added, kind)
    for page, entity in left.items():
        other = right.get(matches.pages.get(page, ""))
        if entity is not None and other is not None:
            matches.pair(entity, other)


def _only_by_page(entities: Entities, kind: str) -> dict[str, Entity | None]:
    """The entity of a kind by its page; None where a page has several."""
    found: dict[str, Entity | None] = {}
    for (page, _), entity in entities.items():
        if kind == entity.KIND:
            found[page] = None if page in found else entity
    return found


def _likeness(a: Entity, b: Entity, old: Texts, new: Texts) -> float:
    """Return the share of equal fields; 0 for things that have little to tell them by."""
    fields = len(old.keys() | new.keys()) or 1
    equal = sum(1 for name, text in old.items() if new.get(name) == text)
    if equal / fields < _ALIKE - 0.02:
        return 0.0
    first, second = sorted((a.id, b.id))
    alike_ids: float = SequenceMatcher(None, first, second).ratio()
    named = any(old.get(name) and old.get(name) == new.get(name) for name in _NAMES)
    if not named and alike_ids < 0.5:
        return 0.0
    return (equal + alike_ids / 100) / fields
