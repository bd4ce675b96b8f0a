"""Two states of a manual compared: pages, things, steps, the files beside them, the shop."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from operator import attrgetter

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.compare.beside import Digest, file_changes, shop_changes
from procedures_lib.judging.compare.change import Act, Change, Comparison, Group, Thing, Unread
from procedures_lib.judging.compare.concerned import stale_cards
from procedures_lib.judging.compare.entity_changes import entity_changes, whole_entity
from procedures_lib.judging.compare.harm import Judge
from procedures_lib.judging.compare.prose_changes import page_changes, whole_page
from procedures_lib.judging.compare.renamed_things import Matches, match
from procedures_lib.judging.compare.review import review
from procedures_lib.judging.compare.step_changes import work_changes
from procedures_lib.language.entities.work import Common, Content, Procedure
from procedures_lib.manual import Manual


def compare(old: Manual, new: Manual, digests: tuple[Digest, Digest] | None = None) -> Comparison:
    """Return how two states of a manual differ, what a reviewer has to see first.

    Pages that can't be read in one of them are left out of both, and named. Comments in the blocks,
    line ends and the breaking of lines are no difference. ``digests`` return, for a page and the
    name of a data file or picture beside it, a hash of what the file holds in each of the states.
    """
    skipped = frozenset(
        name
        for manual in (old, new)
        for name, content in manual.contents.items()
        if unread_page(content)
    )
    matches = match(old, new, skipped)
    found = [*_changes(matches), *_of_one_state(matches, skipped)]
    if digests is not None:
        found += file_changes(matches, *digests)
    found += shop_changes(old.shop, new.shop)
    judge = Judge(matches, found)
    changes = sorted(map(judge.judged, found), key=attrgetter("rank"))
    return Comparison(
        tuple(changes),
        _prose_only(changes),
        tuple(sorted([*unread_in(old, "old"), *unread_in(new, "new")])),
        tuple(sorted(review(changes, matches))),
        tuple(stale_cards(changes, matches)),
    )


# -- what can't be read ------------------------------------------------------------------------


_PASSED_OVER = {
    "unreadable-block": "block",
    "unknown-block": "block",
    "duplicate-id": "a second one",
    "duplicate-key": "a second one",
    "unknown-field": "a field",
    "merge-mark": "two versions",
}
"""Findings of the reader after which something on a page counts for nothing, and what that is."""


def unread_in(manual: Manual, side: str) -> Iterator[Unread]:
    """Yield the pages, blocks and things of one state that could not be read."""
    for content in manual.contents.values():
        findings = (*content.page.findings, *content.findings)
        whole = unread_page(content)
        if whole is not None:
            yield Unread(whole.place, side, "page", whole.message)
            continue
        for finding in findings:
            if finding.check in _PASSED_OVER:
                what = _PASSED_OVER[finding.check]
                yield Unread(finding.place, side, what, finding.message)
        yield from _second_ones(content, side)
        for name in sorted(content.lost):
            yield Unread(_place_of_lost(name, findings, content), side, f"`{name}`",
                         "its block can't be read")  # fmt: skip


def _second_ones(content: Content, side: str) -> Iterator[Unread]:
    """Yield the things of a page whose id another one before them has."""
    first: set[str] = set()
    for entity in content.entities:
        if entity.id in first:
            yield Unread(entity.place, side, f"a second `{entity.id}`", "the first one counts")
        first.add(entity.id)


def unread_page(content: Content) -> Finding | None:
    """Return why a page could not be read at all, None when it could."""
    if content.page.blocks or content.page.prose or content.page.title:
        return None
    bad = (found for found in content.page.findings if found.check == "unreadable-page")
    return next(bad, None)


def _place_of_lost(name: str, findings: tuple[Finding, ...], content: Content) -> Place:
    told = [finding.place for finding in findings if f"`{name}`" in finding.message]
    broken = [finding.place for finding in findings if finding.check == "unreadable-block"]
    told += broken if len(broken) == 1 else []
    return next(iter(told), Place(content.page.name, 1))


# -- what both states have ---------------------------------------------------------------------


def _changes(matches: Matches) -> Iterator[Change]:
    same = set()
    for old_name, new_name in matches.pages.items():
        before = matches.old.manual.contents[old_name]
        after = matches.new.manual.contents[new_name]
        if old_name != new_name:
            yield Change(Group.PAGES, Place(new_name, 1), "page",
                         Thing("page", new_name, after.page.title), Act.RENAMED, old_name,
                         new_name, was=Place(old_name, 1))  # fmt: skip
        if before == after:
            same.add(new_name)
        else:
            yield from page_changes(before, after, matches.words(old_name, new_name))
    for old, new in matches.pairs:
        if new.place.page in same and matches.pages.get(old.place.page) == new.place.page:
            continue
        yield from entity_changes(old, new, matches)
        if isinstance(old, Procedure | Common) and isinstance(new, Procedure | Common):
            yield from work_changes(old, new, matches)


def _of_one_state(matches: Matches, skipped: frozenset[str]) -> Iterator[Change]:
    """Yield the pages and entities that only one of the states has."""
    back = {new: old for old, new in matches.pages.items()}
    for side, pages, entities, other, act in (
        (matches.old, matches.pages, matches.dropped, matches.new, Act.DROPPED),
        (matches.new, back, matches.added, matches.old, Act.ADDED),
    ):
        for name, content in side.manual.contents.items():
            if name not in pages and name not in skipped:
                yield whole_page(content, act)
        for entity in entities.values():
            page = pages.get(entity.place.page)
            if page and entity.id not in other.manual.contents[page].lost:
                yield whole_entity(entity, act, side)


# -- prose -------------------------------------------------------------------------------------


def _prose_only(changes: Iterable[Change]) -> tuple[str, ...]:
    groups: dict[str, set[Group]] = defaultdict(set)
    for change in changes:
        groups[change.place.page].add(change.group)
    return tuple(sorted(page for page, found in groups.items() if found == {Group.PROSE}))
