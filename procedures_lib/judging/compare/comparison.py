"""Two states of a manual compared, data files too; the changes as marks for a page to show."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from procedures_lib.findings import Finding, Place, counted
from procedures_lib.judging.compare.change import (
    Act,
    Change,
    Comparison,
    Group,
    Thing,
    Unread,
    act_of,
)
from procedures_lib.judging.compare.entity_changes import TURNED, entity_changes, whole_entity
from procedures_lib.judging.compare.prose_changes import page_changes, whole_page
from procedures_lib.judging.compare.renamed_things import Matches, match
from procedures_lib.judging.compare.review import review
from procedures_lib.judging.compare.side import Side
from procedures_lib.judging.compare.step_changes import work_changes
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.work import Common, Content, Procedure
from procedures_lib.manual import Manual, NumberedStep, Plan

Digest = Callable[[str, str], str]
"""From a page and a file's name on it to a hash of what the file holds; "" for none."""


def compare(old: Manual, new: Manual, digests: tuple[Digest, Digest] | None = None) -> Comparison:
    """Return how two states of a manual differ, what touches safety first.

    Pages that can't be read in one of them are left out of both, and named. Comments in the blocks,
    line ends and the breaking of lines are no difference. ``digests`` return, for a page and the
    name of a data file beside it, a hash of what the file holds in each of the states.
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
        found += data_changes(matches.pairs, *digests)
    changes = sorted(_gathered(found))
    return Comparison(
        tuple(changes),
        _prose_only(changes),
        tuple(sorted([*unread_in(old, "old"), *unread_in(new, "new")])),
        tuple(sorted(review(changes, matches))),
    )


# -- what can't be read ------------------------------------------------------------------------


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
            was, now = before(old.place.page, name), after(new.place.page, name)
            if was != now:
                note = "its samples differ" if was and now else ""
                yield Change(Group.NUMBERS, pull.place, "data file", Thing("pull", name),
                             act_of(was, now), name if was else "", name if now else "", note,
                             known[name].place)  # fmt: skip


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
    words = [counted(len(steps), "step")] if steps else []
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


# -- marks ------------------------------------------------------------------------------------

_SILENT = frozenset({Group.PROSE, Group.PAPERS, Group.PAGES})
_OF_A_ROW = frozenset({Group.JOINTS, Group.SAFETY, Group.NUMBERS, Group.CARS})

Marks = dict[str, dict[str, dict[str, str]]]
"""By procedure: ``steps``, by number as text, and ``joints``, by id, each with its words."""


def marks_of(old: Manual, new: Manual) -> Marks:
    """Return the marks of every procedure that both states have and that has changed.

    The words name the procedure's revision in the old state and what changed, never an old number:
    a page that shows two torques would leave the choice to its reader. Prose gets no mark.
    """
    changes = _Changes(compare(old, new))
    side = Side(new)
    marks: Marks = {}
    for plan in new.plans():
        before = old.head(Procedure, changes.old_id(plan.head.id))
        if before is None:
            continue
        since = f"since revision {before.revision}"
        joints = _joint_topics(plan, changes, side)
        steps = {n.number: _step_topics(n, changes, joints) for n in plan.steps}
        found = {
            "steps": {str(n): _since(what, since) for n, what in steps.items() if what},
            "joints": {name: _since(what, since) for name, what in joints.items() if what},
        }
        if any(found.values()):
            marks[plan.head.id] = found
    return marks


class _Changes:
    """The changes of a comparison, by the line, the step and the joint that they are about."""

    def __init__(self, comparison: Comparison) -> None:
        told = [change for change in comparison.changes if not change.same]
        self._renamed = {c.thing.id: c.old for c in told
                         if c.topic == "id" and c.thing.kind == Procedure.KIND}  # fmt: skip
        self._pages = {c.old: c.new for c in told if c.topic == "page" and c.act is Act.RENAMED}
        self._lines: dict[str, list[Change]] = defaultdict(list)
        self._dropped: dict[tuple[str, str], list[str]] = defaultdict(list)
        self.joints: dict[tuple[str, str], list[str]] = defaultdict(list)
        for change in told:
            self._take(change)

    def _take(self, change: Change) -> None:
        page = change.place.page
        if change.group in _OF_A_ROW and change.thing.kind == Fastener.KIND:
            new = change.act is Act.ADDED and change.topic == "joint"
            self.joints[page, change.thing.id].append(_NEW if new else change.topic)
        if change.group in _SILENT:
            return
        if change.act is Act.DROPPED and change.thing.kind == "step":
            page = self._pages.get(page, page)
            self._dropped[page, change.thing.name].append(change.topic)
        elif change.act is not Act.DROPPED:
            self._lines[page].append(change)

    def old_id(self, procedure: str) -> str:
        """Return the id that a procedure had in the old state."""
        return self._renamed.get(procedure, procedure)

    def of_step(self, numbered: NumberedStep) -> Iterator[str]:
        """Yield what changed in a step, by topic."""
        step = numbered.step
        for change in self._lines.get(numbered.page, ()):
            if step.place.line <= change.place.line <= step.block.end:
                whole = change.topic == "step"
                yield (_NEW if change.act is Act.ADDED else "its place") if whole else change.topic
        yield from self._dropped.get((numbered.page, step.title), ())


_NEW = "new"


def _joint_topics(plan: Plan, changes: _Changes, side: Side) -> dict[str, list[str]]:
    """What changed of each joint that a procedure fits or tightens, by topic."""
    if not changes.joints:
        return {}
    names = sorted({name for numbered in plan.steps for name in _worked(numbered, *TURNED)})
    return {
        name: topics
        for name in names
        if (topics := [t for key in side.keys(name, plan) for t in changes.joints.get(key, ())])
    }


def _step_topics(
    numbered: NumberedStep, changes: _Changes, joints: dict[str, list[str]]
) -> list[str]:
    """What changed in a step, and of the joints that it tightens."""
    topics = list(changes.of_step(numbered))
    for name in _worked(numbered, "tighten"):
        topics += [topic for topic in joints.get(name, ()) if topic != _NEW]
    return topics


def _worked(numbered: NumberedStep, *verbs: str) -> Iterator[str]:
    """Yield the names of what a step works on with some verbs."""
    for action in numbered.step.actions:
        yield from map(str, action.objects if action.verb in verbs else ())


def _since(topics: Iterable[str], since: str) -> str:
    """Return "changed since revision B: torque, order", or "new since revision B"."""
    each = list(dict.fromkeys(topics))
    if _NEW in each:
        return f"new {since}"
    return f"changed {since}: {', '.join(each)}"
