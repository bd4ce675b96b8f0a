"""What jobs teach of the steps of a procedure: times, remarks, hand-overs, cars never done."""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from procedures_lib.engineering.statistics.median import (
    binomial_from,
    far_out,
    middle,
    sign_test,
)
from procedures_lib.engineering.statistics.share import Share, fewer, share_of
from procedures_lib.judging.records.job import Job, Rests, hand_overs, step_times
from procedures_lib.judging.records.lesson import CONFIDENCE, Lesson
from procedures_lib.judging.records.record import Remark
from procedures_lib.judging.records.sheet import Sheet, SheetStep

MARGIN = 1.25
"""How many times the planned time counts as about as planned (common practice, no source)."""

_MOST_NAMED = 5


@dataclass
class _Seen:
    """What was seen of one step with one wording: jobs that ticked it, minutes, remarks, hands.

    ``chance`` is how many of the hand-overs would fall on it by its share of the planned time.
    """

    jobs: int = 0
    minutes: list[tuple[str, float]] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    remarked: int = 0
    handed: int = 0
    chance: float = 0.0


Seen = dict[tuple[str, str], _Seen]
"""By the key and digest of a step."""


def step_lessons(
    sheet: Sheet, jobs: Sequence[Job], now: datetime.datetime, rests: Rests = ()
) -> Iterator[Lesson]:
    """Yield what the jobs of a procedure teach of its steps, as its sheet has them now.

    ``rests`` are the shop's breaks. What was done by other words of a step counts for those alone.
    """
    seen: Seen = defaultdict(_Seen)
    for job in jobs:
        _look(job, seen, now, rests)
    steps = [(step, seen[step.key, step.digest]) for step in sheet.steps]
    for step, held in steps:
        yield from _time(sheet, step, held)
    yield from _remarks(sheet, steps)
    for step, held in steps:
        yield from _answered(sheet, step, held, seen)
    yield from _hand_overs(sheet, steps)
    yield from _variants(sheet, jobs)


def _look(job: Job, seen: Seen, now: datetime.datetime, rests: Rests) -> None:
    if job.sheet is None:
        return
    known = {n: seen[s.key, s.digest] for n, s in job.sheet.step_by_number.items()}
    for number in {step.number for step in job.record.steps} & known.keys():
        known[number].jobs += 1
    for took in step_times(job, now, rests):
        if took.number in known:
            known[took.number].minutes.append((job.name, took.minutes))
    for number in {remark.step for remark in job.remarks} & known.keys():
        known[number].remarked += 1
        known[number].jobs += number not in {step.number for step in job.record.steps}
    for remark in job.remarks:
        if remark.step in known:
            known[remark.step].remarks.append(remark)
    _look_at_hands(job, job.sheet, known)


def _look_at_hands(job: Job, sheet: Sheet, known: dict[int, _Seen]) -> None:
    """Note where somebody else went on, and how often chance would have it there."""
    handed = [number for number in hand_overs(job) if number in known]
    spans = _spans(job, sheet, known) if handed else {}
    for number in handed:
        known[number].handed += 1
    for number, span in spans.items():
        known[number].chance += len(handed) * span / sum(spans.values())


def _spans(job: Job, sheet: Sheet, known: Mapping[int, _Seen]) -> dict[int, float]:
    """Return the planned minutes for which each step of a job was that of a hand-over, if any.

    A phone tells the step itself. By initials a hand-over shows at the next reading that is signed:
    a step for which one waits longer shows more of them by itself.
    """
    minutes = {n: step.minutes or 1.0 for n, step in sheet.step_by_number.items() if n in known}
    if job.record.handovers:
        ticked = {step.number for step in job.record.steps}
        handed = {each.step for each in job.record.handovers}
        return {n: each for n, each in minutes.items() if n in ticked | handed}
    signed = sorted({each.step for each in job.record.readings if each.initials} & known.keys())
    return {
        number: sum(each for n, each in minutes.items() if before < n <= number)
        for before, number in pairwise(signed)
    }


def _of(sheet: Sheet, step: SheetStep, kind: str) -> Lesson:
    return Lesson(kind, sheet.procedure, step.number, step.key, step.digest, step.title)


def _time(sheet: Sheet, step: SheetStep, held: _Seen) -> Iterator[Lesson]:
    if not held.minutes:
        return
    minutes = [each for _, each in held.minutes]
    found = middle(minutes, CONFIDENCE)
    far = [held.minutes[n] for n in far_out(minutes)]
    lesson = replace(
        _of(sheet, step, "time"),
        jobs=found.count,
        value=found.median,
        low=found.low,
        high=found.high,
        spread=(found.lower_quarter, found.upper_quarter),
        expected=step.minutes,
        unit="min",
        named=tuple(f"{name}: {each:.0f} min" for name, each in far[:_MOST_NAMED]),
    )
    if step.minutes:
        slow = sign_test(minutes, step.minutes * MARGIN, above=True)
        quick = sign_test(minutes, step.minutes / MARGIN, above=False)
        verdict = "slower than planned" if slow < quick else "quicker than planned"
        lesson = replace(lesson, chance=min(1.0, 2 * min(slow, quick)), verdict=verdict)
    yield lesson


def _shared(lesson: Lesson, share: Share) -> Lesson:
    return replace(lesson, jobs=share.count, hits=share.hits, value=share.share, low=share.low,
                   high=share.high, unit="share")  # fmt: skip


def _remarks(sheet: Sheet, steps: Sequence[tuple[SheetStep, _Seen]]) -> Iterator[Lesson]:
    """Yield the steps that were remarked on, each held against an even spread over all steps."""
    total, done = sum(held.remarked for _, held in steps), sum(held.jobs for _, held in steps)
    for step, held in steps:
        if held.remarked:
            kinds = Counter(remark.kind for remark in held.remarks)
            said = [f"{remark.kind}: {remark.text}" for remark in held.remarks if remark.text]
            lesson = _shared(_of(sheet, step, "remark"), share_of(held.remarked, held.jobs))
            yield replace(
                lesson,
                about=", ".join(f"{kind} {number}" for kind, number in kinds.most_common()),
                expected=total / done,
                chance=binomial_from(held.remarked, total, held.jobs / done),
                verdict="remarked on more than the other steps",
                named=tuple(said[-_MOST_NAMED:]),
            )


def _answered(sheet: Sheet, step: SheetStep, held: _Seen, seen: Seen) -> Iterator[Lesson]:
    """Yield whether there are fewer remarks at a step since its words are other ones."""
    older = [each for (key, digest), each in seen.items()
             if key == step.key and digest != step.digest]  # fmt: skip
    before = share_of(sum(each.remarked for each in older), sum(each.jobs for each in older))
    if not before.hits or not held.jobs:
        return
    now = share_of(held.remarked, held.jobs)
    said = [f"{r.kind}: {r.text}" for each in older for r in each.remarks if r.text]
    yield replace(
        _shared(_of(sheet, step, "answered"), now),
        about=f"{before.hits} of {before.count} before",
        expected=before.share,
        chance=fewer(now, before),
        verdict="fewer remarks since it was changed",
        named=tuple(dict.fromkeys(said))[-_MOST_NAMED:],
    )


def _hand_overs(sheet: Sheet, steps: Sequence[tuple[SheetStep, _Seen]]) -> Iterator[Lesson]:
    total, by_chance = (
        sum(held.handed for _, held in steps),
        sum(held.chance for _, held in steps),
    )
    for step, held in steps:
        if held.handed and held.chance:
            share = share_of(min(held.handed, held.jobs), held.jobs)
            yield replace(
                _shared(_of(sheet, step, "hand-over"), share),
                expected=total * held.chance / by_chance / held.jobs if held.jobs else None,
                chance=binomial_from(held.handed, total, held.chance / by_chance),
                verdict="handed over here more than elsewhere",
            )


def _variants(sheet: Sheet, jobs: Iterable[Job]) -> Iterator[Lesson]:
    """Yield the values of the car's options on which something hangs and that no job had."""
    named = {option for when in sheet.conditions.values() for option in when.options}
    cars = [job.record.car for job in jobs]
    for option, values in sheet.options:
        stated = [car[option] for car in cars if car.get(option) in values]
        for value in values:
            if option in named and value not in stated and cars:
                lesson = Lesson("variant", sheet.procedure, about=f"{option}={value}")
                yield replace(_shared(lesson, share_of(0, len(stated))), title=sheet.title)
