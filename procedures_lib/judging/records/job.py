"""A job that is kept: its record beside the sheet of that day, and the times it took."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from procedures_lib.judging.records.record import (
    Reading,
    Record,
    RecordFinding,
    Remark,
    StepDone,
    read_record,
)
from procedures_lib.judging.records.sheet import Sheet

TOGETHER = 20.0
"""Seconds within which ticks count as made together afterwards (common practice, no source)."""

LONGEST = 4 * 60.0
"""Minutes after which a step counts as left and taken up again (common practice, no source)."""


@dataclass(frozen=True)
class Job:
    """One record in the archive, under its ``name`` there; ``sheet`` is None where none is kept.

    ``registration`` is the order or number plate, or its hash, as far as the shop keeps them.
    """

    name: str
    record: Record
    vehicle: str = ""
    begun: datetime.datetime | None = None
    saved: datetime.datetime | None = None
    sheet: Sheet | None = None
    registration: str = ""

    @property
    def day(self) -> datetime.date | None:
        """The day on which it began, as far as the record tells."""
        ticks = (step.done for step in self.record.steps)
        known = [at for at in (self.begun, *ticks, self.saved) if at is not None]
        return known[0].date() if known else None

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What was remarked on at its steps."""
        return self.record.remarks

    @property
    def size(self) -> int:
        """How much was done: steps and readings."""
        return len(self.record.steps) + len(self.record.readings)


def read_job(
    value: Mapping[str, Any], name: str = "", sheet: Sheet | None = None
) -> tuple[Job | None, list[RecordFinding]]:
    """Return the job of a record as :func:`read_record` reads it, with what is wrong in it."""
    record, findings = read_record(value)
    if record is None:
        return None, findings
    return Job(name, record, record.vehicle, record.begun, record.saved, sheet), findings


_CLOCK = "set the phone's clock; such times are left out of what is learnt"


def clock_faults(job: Job, now: datetime.datetime) -> Iterator[RecordFinding]:
    """Yield the times that can't be: after ``now``, before the begin, of a phone without date."""
    first = _aware(job.begun)
    for path, at in _times(job):
        if at > now + datetime.timedelta(days=1):
            check, message = "time-to-come", "is still to come"
        elif at.year < 2015:
            check, message = "time-too-old", "is before there were such records"
        elif first is not None and at < first - datetime.timedelta(minutes=1):
            check, message = "time-before-begin", "is before the job was begun"
        else:
            continue
        yield RecordFinding(path, check, f"{at.isoformat()} {message}", _CLOCK)


def trusted(job: Job, now: datetime.datetime) -> Job:
    """Return a job without the times that its clock can't have shown, ticks of no time included."""
    bare, wrong = job, {fault.path for fault in clock_faults(job, now)}
    if "$.begun" in wrong:  # what it made look wrong may be right
        bare = replace(job, begun=None)
        wrong = {fault.path for fault in clock_faults(bare, now)}
    steps = tuple(
        each.model_copy(update={"done": None}) if f"{each.path}.done" in wrong else each
        for each in bare.record.steps
    )
    saved = None if "$.saved" in wrong else bare.saved
    return replace(bare, saved=saved, record=replace(bare.record, steps=steps))


def _times(job: Job) -> Iterator[tuple[str, datetime.datetime]]:
    named: list[tuple[str, datetime.datetime | None]] = [("$.begun", job.begun)]
    named += [(f"{step.path}.done", step.done) for step in job.record.steps]
    named += [(f"{reading.path}.at", reading.at) for reading in job.record.readings]
    named.append(("$.saved", job.saved))
    for path, at in named:
        aware = _aware(at)
        if aware is not None:
            yield path, aware


def _aware(at: datetime.datetime | None) -> datetime.datetime | None:
    return at if at is None or at.tzinfo else at.replace(tzinfo=datetime.UTC)


# -- times -------------------------------------------------------------------------------------


Rests = Iterable[tuple[datetime.time, datetime.time]]
"""Times of day, from and to."""


@dataclass(frozen=True, slots=True)
class StepTime:
    """The minutes that a step took by its tick and the one before it."""

    number: int
    minutes: float


def step_times(job: Job, now: datetime.datetime | None = None, rests: Rests = ()) -> list[StepTime]:
    """Return how long the steps of a job took, as far as its ticks tell.

    The time of a step is that from the tick before it, in the order of the clock. Left out are the
    first tick, spans over midnight or over one of the shop's ``rests`` (in the phone's own time)
    and those over :data:`LONGEST`, ticks less than :data:`TOGETHER` after another with the one they
    follow, and ticks the clock can't have made.
    """
    ticks = sorted(_ticks(job, now), key=lambda tick: tick[0])
    found = []
    for n, (at, step) in enumerate(ticks):
        before = ticks[n - 1][0] if n else None
        after = ticks[n + 1][0] if n + 1 < len(ticks) else None
        minutes = _minutes(before, at, after)
        if minutes is not None and not (before and _rested(before, at, rests)):
            found.append(StepTime(step.number, minutes))
    return found


def _ticks(job: Job, now: datetime.datetime | None) -> Iterator[tuple[datetime.datetime, StepDone]]:
    wrong = {fault.path for fault in clock_faults(job, now)} if now else set()
    seen: set[int] = set()
    for step in job.record.steps:
        at = _aware(step.done)
        if at is not None and f"{step.path}.done" not in wrong and step.number not in seen:
            seen.add(step.number)
            yield at, step


def _rested(before: datetime.datetime, at: datetime.datetime, rests: Rests) -> bool:
    """Tell whether a span of one day reaches into a break."""
    return any(before.time() < end and at.time() > start for start, end in rests)


def _minutes(
    before: datetime.datetime | None, at: datetime.datetime, after: datetime.datetime | None
) -> float | None:
    if before is None or before.date() != at.date():
        return None
    seconds = (at - before).total_seconds()
    followed = after is not None and (after - at).total_seconds() < TOGETHER
    if seconds < TOGETHER or followed or seconds > LONGEST * 60:
        return None
    return seconds / 60


# -- hands -------------------------------------------------------------------------------------


def hand_overs(job: Job) -> list[int]:
    """Return the steps at which somebody else went on, in the order of work.

    They are those at which another phone took over, or else where other initials begin to sign.
    """
    if job.record.handovers:
        return sorted({each.step for each in job.record.handovers})
    found: list[int] = []
    last = ""
    for reading in sorted(job.record.readings, key=lambda each: (each.step, each.stage)):
        if reading.initials and last and reading.initials != last and reading.step not in found:
            found.append(reading.step)
        last = reading.initials or last
    return found


def counted_jobs(jobs: Iterable[Job]) -> list[Job]:
    """Return of each job the one record that tells most: of the same begin, procedure and car.

    A job may have been saved half-way and again at its end, or on two phones. Records with one
    begin and several plates are of several jobs.
    """
    found: dict[tuple[str, ...], list[Job]] = defaultdict(list)
    for job in jobs:
        found[job_key(job)].append(job)
    return [job for records in found.values() for job in _fullest(records)]


def _fullest(records: Iterable[Job]) -> Iterator[Job]:
    """Yield the fullest of records with one begin, of each plate where they have several."""
    by_plate: dict[str, list[Job]] = defaultdict(list)
    for job in records:
        by_plate[job.registration].append(job)
    bare = by_plate.pop("", [])
    if len(by_plate) == 1:
        next(iter(by_plate.values())).extend(bare)
    elif bare:
        by_plate[""] = bare
    for each in by_plate.values():
        yield max(each, key=lambda job: (job.size, job.name))


def job_key(job: Job) -> tuple[str, ...]:
    """What the records of one job have in common; a record without its begin is a job by itself."""
    if job.begun is None:
        return ("", job.name)
    begun = (_aware(job.begun) or job.begun).astimezone(datetime.UTC)
    return job.record.procedure, job.vehicle, begun.isoformat()


def contradicts(one: Job, other: Job) -> bool:
    """Tell whether each of two records of a job has what the other lacks: two phones on one job."""
    mine, theirs = _said(one), _said(other)
    return bool(mine - theirs) and bool(theirs - mine)


def _said(job: Job) -> set[tuple[Any, ...]]:
    def read(each: Reading) -> tuple[Any, ...]:
        return each.step, each.joint, each.stage, each.value, each.unit

    return {(s.number,) for s in job.record.steps} | {read(r) for r in job.record.readings}
