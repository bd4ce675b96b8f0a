"""Compares two states of a manual."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from procedures_lib.compare.change import Act, Change, Comparison, Group, Thing
from procedures_lib.compare.context import Context
from procedures_lib.compare.data import data_changes
from procedures_lib.compare.entities import entity_changes, whole_entity
from procedures_lib.compare.listed import listed_changes
from procedures_lib.compare.matching import match
from procedures_lib.compare.pages import page_changes, whole_page
from procedures_lib.compare.review import review
from procedures_lib.compare.unread import unread_in, unread_page
from procedures_lib.compare.work import work_changes
from procedures_lib.entities.work import Common, Procedure
from procedures_lib.findings import Place

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from procedures_lib.compare.data import Digest
    from procedures_lib.manual import Manual


def compare(old: Manual, new: Manual, digests: tuple[Digest, Digest] | None = None) -> Comparison:
    """Return how two states of a manual differ, what touches safety first.

    Pages that can't be read in one of them are left out of both, and named. Comments in the blocks,
    line ends and the breaking of lines are no difference. ``digests`` return, for a page and the
    name of a data file beside it, a hash of what the file holds in each of the states.
    """
    skipped = _unreadable(old) | _unreadable(new)
    context = Context(match(old, new, skipped))
    found = [*_changes(context, skipped)]
    if digests is not None:
        found += data_changes(context.matches.pairs, *digests)
    changes = sorted(_gathered(found))
    return Comparison(
        tuple(changes),
        _prose_only(changes),
        tuple(sorted([*unread_in(old, "old"), *unread_in(new, "new")])),
        tuple(sorted(review(changes, context))),
    )


def _unreadable(manual: Manual) -> frozenset[str]:
    return frozenset(name for name, c in manual.contents.items() if unread_page(c))


def _changes(context: Context, skipped: frozenset[str]) -> Iterator[Change]:
    matches = context.matches
    same = set()
    for old_name, new_name in matches.pages.items():
        before, after = matches.old.contents[old_name], matches.new.contents[new_name]
        if old_name != new_name:
            yield Change(Group.PAGES, Place(new_name, 1), "page",
                         Thing("page", new_name, after.page.title), Act.RENAMED, old_name,
                         new_name, was=Place(old_name, 1))  # fmt: skip
        if before == after:
            same.add(new_name)
            continue
        yield from page_changes(before, after, context)
    for old, new in matches.pairs:
        if new.place.page in same and matches.pages.get(old.place.page) == new.place.page:
            continue
        yield from entity_changes(old, new, context)
        yield from listed_changes(old, new, context)
        if isinstance(old, Procedure | Common):
            yield from work_changes(old, new, context)
    yield from _of_one_state(context, skipped)


def _of_one_state(context: Context, skipped: frozenset[str]) -> Iterator[Change]:
    """Yield the pages and entities that only one of the states has."""
    matches = context.matches
    kept_old, kept_new = set(matches.pages), set(matches.pages.values())
    for manual, kept, act in (
        (matches.old, kept_old, Act.DROPPED),
        (matches.new, kept_new, Act.ADDED),
    ):
        for name, content in manual.contents.items():
            if name not in kept and name not in skipped:
                yield whole_page(content, act)
    back = {new: old for old, new in matches.pages.items()}
    for entity in matches.dropped:
        page = matches.pages.get(entity.place.page)
        if page and entity.id not in matches.new.contents[page].lost:
            yield whole_entity(entity, Act.DROPPED, context)
    for entity in matches.added:
        page = back.get(entity.place.page)
        if page and entity.id not in matches.old.contents[page].lost:
            yield whole_entity(entity, Act.ADDED, context)


def _gathered(changes: Iterable[Change]) -> Iterator[Change]:
    """Make one change a page of all that is prose."""
    prose: dict[str, list[Change]] = defaultdict(list)
    for change in changes:
        if change.group is Group.PROSE:
            prose[change.place.page].append(change)
        else:
            yield change
    for found in prose.values():
        yield _one_of(sorted(found))


def _one_of(changes: list[Change]) -> Change:
    steps = [change for change in changes if change.thing.kind == "step"]
    words = [f"{len(steps)} step{'' if len(steps) == 1 else 's'}"] if steps else []
    if len(steps) < len(changes):
        words.append("the text around the steps" if steps else "the text")
    first = min(steps or changes)
    thing = Thing("page", first.place.page)
    return replace(first, thing=thing, note=f"in {' and '.join(words)}")


def _prose_only(changes: Iterable[Change]) -> tuple[str, ...]:
    groups: dict[str, set[Group]] = defaultdict(set)
    for change in changes:
        groups[change.place.page].add(change.group)
    return tuple(sorted(page for page, found in groups.items() if found == {Group.PROSE}))
