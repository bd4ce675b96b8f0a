"""Compares two states of a manual, data files too, and says what can't be compared."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.compare.change import Act, Change, Comparison, Group, Thing, Unread
from procedures_lib.judging.compare.context import Context
from procedures_lib.judging.compare.entity_changes import (
    entity_changes,
    listed_changes,
    whole_entity,
)
from procedures_lib.judging.compare.prose_changes import page_changes, whole_page
from procedures_lib.judging.compare.renamed_things import match
from procedures_lib.judging.compare.review import review
from procedures_lib.judging.compare.step_changes import work_changes
from procedures_lib.language.entities.base import Entity
from procedures_lib.language.entities.content import Content
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.work import Common, Procedure
from procedures_lib.manual import Manual


def unread_in(manual: Manual, side: str) -> Iterator[Unread]:
    """Yield the pages, blocks and things of one state that could not be read."""
    for content in manual.contents.values():
        findings = (*content.page.findings, *content.findings)
        whole = unread_page(content)
        if whole is not None:
            yield Unread(whole.place, side, "page", whole.message)
            continue
        for finding in findings:
            if finding.check == "unreadable-block":
                yield Unread(finding.place, side, "block", finding.message)
        for name in sorted(content.lost):
            yield Unread(_place_of_lost(name, findings, content), side, f"`{name}`",
                         "its block can't be read")  # fmt: skip


def unread_page(content: Content) -> Finding | None:
    """Return why a page could not be read at all, None when it could."""
    if content.page.blocks or content.page.prose or content.page.title:
        return None
    bad = (found for found in content.page.findings if found.check == "unreadable-page")
    return next(bad, None)


def _place_of_lost(name: str, findings: tuple[Finding, ...], content: Content) -> Place:
    told = (finding.place for finding in findings if f"`{name}`" in finding.message)
    return next(told, Place(content.page.name, 1))


Digest = Callable[[str, str], str]
"""From a page and a file's name on it to a hash of what the file holds; "" for none."""


def data_changes(
    pairs: Iterable[tuple[Entity, Entity]], before: Digest, after: Digest
) -> Iterator[Change]:
    """Yield the pulls whose file has the same name in both states and holds something else."""
    for old, new in pairs:
        if not isinstance(old, DynoSession) or not isinstance(new, DynoSession):
            continue
        known = {str(pull.pull): pull for pull in (*old.before, *old.after)}
        for pull in (*new.before, *new.after):
            name = str(pull.pull)
            if name not in known:
                continue
            digests = before(old.place.page, name), after(new.place.page, name)
            if digests[0] != digests[1]:
                act = Act.CHANGED if all(digests) else Act.ADDED if digests[1] else Act.DROPPED
                yield Change(Group.NUMBERS, pull.place, "data file", Thing("pull", name), act,
                             name if digests[0] else "", name if digests[1] else "",
                             "its samples differ" if all(digests) else "",
                             known[name].place)  # fmt: skip


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
