"""Remarks of the bay that a change of the manual answers: their step says something else now."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from procedures_lib.judging.records.job import Job, counted_jobs
from procedures_lib.judging.records.record import Remark
from procedures_lib.judging.records.sheet import Sheet, SheetStep, sheet_of
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual

_MOST_WORDS = 5


@dataclass(frozen=True, slots=True)
class Answered:
    """Remarks at one step that another state of the manual no longer has, or words otherwise.

    ``kinds`` are the kinds of remark with how many there are of each; ``words`` the last of what
    was said; ``dropped`` tells whether the step is gone.
    """

    procedure: str
    step: int
    title: str
    jobs: int
    kinds: tuple[tuple[str, int], ...]
    words: tuple[str, ...]
    dropped: bool = False


def answered(jobs: Iterable[Job], old: Manual, new: Manual) -> list[Answered]:
    """Return the remarks at steps of ``old`` that ``new`` answers, by procedure and step.

    Only remarks at what ``old`` says count: those at words that were changed before are answered.
    """
    by_procedure: dict[str, list[Job]] = defaultdict(list)
    for job in counted_jobs(jobs):
        if job.remarks:
            by_procedure[job.record.procedure].append(job)
    found: list[Answered] = []
    for name, theirs in sorted(by_procedure.items()):
        sheets = [_sheet(manual, name) for manual in (old, new)]
        if sheets[0] is not None:
            found += _of(sheets[0], sheets[1], theirs)
    return found


def _sheet(manual: Manual, name: str) -> Sheet | None:
    head = manual.head(Procedure, name)
    return sheet_of(manual.plan(head), head.revision) if head else None


def _of(old: Sheet, new: Sheet | None, jobs: Iterable[Job]) -> Iterator[Answered]:
    now = {step.key: step.digest for step in new.steps} if new else {}
    remarks: dict[str, list[tuple[str, Remark]]] = defaultdict(list)
    for job in jobs:
        sheet = job.sheet or (old if old.digest == job.record.digest else None)
        for remark in job.remarks:
            step = sheet.step_by_number.get(remark.step) if sheet else None
            if step is not None:
                remarks[f"{step.key} {step.digest}"].append((job.name, remark))
    for step in old.steps:
        told = remarks.get(f"{step.key} {step.digest}", [])
        if told and now.get(step.key) != step.digest:
            yield _answer(old.procedure, step, told, dropped=step.key not in now)


def _answer(
    procedure: str, step: SheetStep, told: list[tuple[str, Remark]], *, dropped: bool
) -> Answered:
    kinds = Counter(remark.kind for _, remark in told)
    words = tuple(dict.fromkeys(remark.text for _, remark in told if remark.text))
    return Answered(procedure, step.number, step.title, len({name for name, _ in told}),
                    tuple(kinds.most_common()), words[-_MOST_WORDS:], dropped)  # fmt: skip


def answered_text(each: Answered) -> str:
    """Return what is answered, as one line."""
    kinds = ", ".join(f"{kind} {number}" for kind, number in each.kinds)
    words = f": {'; '.join(f'“{word}”' for word in each.words)}" if each.words else ""
    became = "is gone" if each.dropped else "is changed"
    return (
        f"{each.procedure}, step {each.step} “{each.title}” {became}, which was remarked on in "
        f"{each.jobs} {'job' if each.jobs == 1 else 'jobs'} ({kinds}){words}"
    )
