"""The changes since a state as marks for a page to show: words at steps and joints, no numbers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from procedures_lib.judging.compare.change import Act, Change, Comparison, Group
from procedures_lib.judging.compare.comparison import compare
from procedures_lib.judging.compare.entity_changes import TURNED
from procedures_lib.judging.compare.side import Side
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual, NumberedStep, Plan

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
        told = sorted(change for change in comparison.changes if not change.same)
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
