"""What a whole archive teaches: every question to it, asked together."""

from __future__ import annotations

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from procedures_lib.engineering.statistics.median import binomial_from
from procedures_lib.engineering.statistics.share import share_of
from procedures_lib.judging.records.job import Job, counted_jobs, trusted
from procedures_lib.judging.records.lesson import CONFIDENCE, RATE, Lesson, Lessons, judged
from procedures_lib.judging.records.reading_lessons import (
    edge_lessons,
    reads_of,
    unread_in,
    wrench_lessons,
)
from procedures_lib.judging.records.sheet import Sheet, SheetItem
from procedures_lib.judging.records.step_lessons import step_lessons
from procedures_lib.manual.shop import Shop

_MOST_NAMED = 5


def learn(
    records: Iterable[Job],
    sheets: Sequence[Sheet],
    shop: Shop,
    now: datetime.datetime,
    rate: float = RATE,
) -> Lessons:
    """Return what records teach of the procedures as their ``sheets`` have them now.

    Of several records of one job the fullest counts. ``rate`` is in how many archives without
    effects anything is told as one.
    """
    told = list(records)
    jobs = [trusted(job, now) for job in counted_jobs(told)]
    by_procedure: dict[str, list[Job]] = defaultdict(list)
    for job in jobs:
        by_procedure[job.record.procedure].append(job)
    lessons, tests = judged(_asked(sheets, by_procedure, shop, now), rate)
    days = sorted(job.day.isoformat() for job in jobs if job.day)
    return Lessons(
        lessons,
        records=len(told),
        jobs=len(jobs),
        without_page=sum(job.sheet is None for job in jobs),
        unread=unread_in(jobs),
        since=days[0] if days else "",
        until=days[-1] if days else "",
        tests=tests,
    )


def _asked(
    sheets: Sequence[Sheet],
    by_procedure: dict[str, list[Job]],
    shop: Shop,
    now: datetime.datetime,
) -> Iterator[Lesson]:
    deviations = {w.id: w.deviation for w in shop.wrenches if w.deviation is not None}
    reads = list(reads_of(job for jobs in by_procedure.values() for job in jobs))
    for sheet in sheets:
        jobs = by_procedure.get(sheet.procedure, [])
        if jobs:
            yield from step_lessons(sheet, jobs, now, shop.archive.rests)
            yield from edge_lessons(sheet, reads, deviations)
    yield from wrench_lessons(reads, {wrench.id: wrench.name for wrench in shop.wrenches})
    yield from kit_lessons(by_procedure)


def kit_lessons(by_procedure: dict[str, list[Job]]) -> Iterator[Lesson]:
    """Yield how often each kit was short, held against the other kits.

    A kit was short on a job when something was remarked as missing at its first step, where kits
    are checked in, or where the words of such a remark name an item of its packing list.
    """
    jobs: Counter[str] = Counter()
    short: dict[str, list[list[str]]] = defaultdict(list)
    for job in (job for each in by_procedure.values() for job in each):
        if job.sheet and job.sheet.kit:
            jobs[job.sheet.kit] += 1
            if items := missing_in(job, job.sheet):
                short[job.sheet.kit].append(items)
    total = sum(map(len, short.values()))
    for kit, found in sorted(short.items()):
        share = share_of(len(found), jobs[kit], CONFIDENCE)
        named = Counter(item for items in found for item in items)
        yield Lesson(
            "kit", about=kit, title=kit, jobs=share.count, hits=share.hits, value=share.share,
            low=share.low, high=share.high, unit="share", expected=total / jobs.total(),
            chance=binomial_from(share.hits, total, jobs[kit] / jobs.total()),
            verdict="short more often than the other kits",
            named=tuple(f"{item}: {n}" for item, n in named.most_common(_MOST_NAMED)),
        )  # fmt: skip


def missing_in(job: Job, sheet: Sheet) -> list[str]:
    """Return what of the kit was remarked as missing, "something" where no item is named."""
    first = min(sheet.step_by_number, default=0)
    found: list[str] = []
    for remark in job.remarks:
        if remark.kind == "missing":
            items = [item for item in sheet.items if _names(remark.text, item)]
            found += (item.number or item.name or item.what for item in items)
            if not items and remark.step == first:
                found.append("something")
    return list(dict.fromkeys(found))


def _names(text: str, item: SheetItem) -> bool:
    words = text.casefold()
    return any(name and name.casefold() in words for name in (item.number, item.name))
