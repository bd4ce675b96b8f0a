"""Which jobs were done to a number, an order or a part that has changed since."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from procedures_lib.judging.compare import Act, Change, Group
from procedures_lib.judging.records.job import Job
from procedures_lib.judging.records.sheet import Sheet, sheet_of
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual

RECALLED = frozenset({Group.JOINTS, Group.SAFETY, Group.NUMBERS, Group.BOX})
"""Groups of changes after which one may have to look at the cars again."""

_KINDS = frozenset({"fastener", "part", "connection", "fluid", "kit", "step"})
_SILENT = frozenset({Act.MOVED, Act.RENAMED, Act.REWORDED})

OLD, OTHER, UNKNOWN = "old", "other", "unknown"
DONE_TO = {
    OLD: "done to the old state",
    OTHER: "done to another state than either",
    UNKNOWN: "the record can't tell: look at the car",
}


@dataclass(frozen=True, slots=True)
class Recalled:
    """A job that has to be looked at again because of a change.

    ``done_to`` is a key of :data:`DONE_TO`; ``readings`` are what was read at the joint, in words.
    """

    job: Job
    change: Change
    done_to: str
    readings: tuple[str, ...] = ()


def recall(
    changes: Iterable[Change], jobs: Iterable[Job], old: Manual, new: Manual
) -> list[Recalled]:
    """Return the jobs that changes between two states concern, by car and day.

    A job is left out when its own sheet says what the new state says, or when the joint is not on
    its car. One whose record can't tell is named, and not passed over.
    """
    concerned = [(change, procedures_of(change, old)) for change in changes if matters(change)]
    pairs = {name: (_sheet(old, name), _sheet(new, name))
             for _, names in concerned for name in names}  # fmt: skip
    found: list[Recalled] = []
    for job in jobs:
        before, after = pairs.get(job.record.procedure, (None, None))
        for change, names in concerned:
            if job.record.procedure in names and before is not None:
                found += _judged(job, change, before, after)
    return sorted(found, key=lambda each: (each.job.vehicle, str(each.job.day), each.job.name))


def matters(change: Change) -> bool:
    """Tell whether cars may have to be looked at after a change: not for a word or a name."""
    told = change.group in RECALLED and change.thing.kind in _KINDS
    return told and not change.same and change.act not in _SILENT


def procedures_of(change: Change, old: Manual) -> frozenset[str]:
    """Return the procedures of the old state by which a change came onto cars."""
    used = {use.procedure for use in change.used}
    if not used and change.kits:
        used = {str(plan.head.id) for plan in old.plans()
                if plan.kit and str(plan.kit.id) in change.kits}  # fmt: skip
    if not used and change.thing.kind == "step":
        used = {str(head.id) for head in old.heads(Procedure)
                if head.place.page == (change.was or change.place).page}  # fmt: skip
    return frozenset(used)


def _sheet(manual: Manual, name: str) -> Sheet | None:
    head = manual.head(Procedure, name)
    return sheet_of(manual.plan(head), head.revision) if head else None


def _judged(job: Job, change: Change, before: Sheet, after: Sheet | None) -> Iterator[Recalled]:
    known = {sheet.digest: sheet for sheet in (after, before) if sheet}
    sheet = job.sheet or known.get(job.record.digest)
    if sheet and not _on_car(job, change, sheet):
        return
    done_to = _done_to(job, sheet, change, before, after)
    if done_to:
        yield Recalled(job, change, done_to, tuple(_readings(job, change)))


def _on_car(job: Job, change: Change, sheet: Sheet) -> bool:
    asked = [each for each in sheet.readings if each.joint == change.thing.id]
    return not asked or any(sheet.is_for(each.when, job.record.car) is not False for each in asked)


def _done_to(
    job: Job, sheet: Sheet | None, change: Change, before: Sheet, after: Sheet | None
) -> str:
    old, new = _said(before, change), _said(after, change)
    if sheet is not None and old != new:
        mine = _said(sheet, change)
        return OLD if mine == old else "" if mine == new else OTHER
    letter = job.record.revision
    if after is None or before.revision != after.revision:
        if letter == before.revision:
            return OLD
        return "" if after is not None and letter == after.revision else UNKNOWN
    return UNKNOWN


def _said(sheet: Sheet | None, change: Change) -> list[tuple[str, ...]]:
    """What a sheet says of the thing that changed; [] where sheets say nothing of such things."""
    if sheet is None:
        return []
    thing = change.thing
    said: list[tuple[str, ...]]
    said = [(str(each.stage), each.wanted, each.order, str(each.count))
            for each in sheet.readings if each.joint == thing.id]  # fmt: skip
    said += [(item.number, item.packed) for item in sheet.items if item.what == thing.id]
    if thing.kind == "kit":
        said += [(item.what, item.number, item.packed) for item in sheet.items]
    if thing.kind == "step":
        said += [(step.digest,) for step in sheet.steps if thing.name in {step.title}]
    return said


def _readings(job: Job, change: Change) -> Iterator[str]:
    for reading in job.record.readings:
        if reading.joint == change.thing.id:
            tool = f" with {reading.wrench}" if reading.wrench else ""
            who = f" by {reading.initials}" if reading.initials else ""
            yield f"stage {reading.stage}: {reading.value} {reading.unit}{tool}{who}"
