"""Jobs: procedures of one visit that can't both be done, or that get in each other's way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.checks.walking import can_walk, has_stray_steps
from procedures_lib.entities.work import Job, Procedure
from procedures_lib.findings import Finding
from procedures_lib.manual.names import name_of
from procedures_lib.walk.combining import clashes, combine
from procedures_lib.walk.walk import walk

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual, Plan
    from procedures_lib.walk.combining import Clash


def conflicts(manual: Manual, page: str) -> Iterator[Finding]:
    """Find two procedures of a job that both take the place of one thing."""
    for job in _jobs(manual, page):
        for clash in clashes(manual, job):
            yield _conflict(manual, job, clash)


def _conflict(manual: Manual, job: Job, clash: Clash) -> Finding:
    scope = manual.scope(job.place.page)
    entity = scope.get(clash.what)
    name = name_of(entity, scope) if entity else f"the {clash.what}"
    first, second = clash.procedures
    return Finding(
        job.place,
        "job-conflict",
        f"`{first}` and `{second}` can't be done in one visit: both replace {name}",
        "leave one of the two out of the job",
    )


def visits(manual: Manual, page: str) -> Iterator[Finding]:
    """Carry out the whole visit, and say what goes wrong that does not in one procedure alone."""
    for job in _jobs(manual, page):
        plans = _plans(manual, job)
        if clashes(manual, job) or not all(_whole(manual, plan) for plan in plans):
            continue
        visit = combine(manual, job)
        if visit is None or visit.walk.unsure:
            continue
        found_alone = [finding for plan in plans for finding in walk(plan, manual).findings]
        alone = {(f.check, f.message) for f in found_alone}
        places = {(f.check, f.place) for f in found_alone}
        for finding in visit.findings:
            said = (finding.check, finding.message) in alone
            if not said and (finding.check, finding.place) not in places:
                yield Finding(
                    job.place,
                    finding.check,
                    f"in this visit: {finding.message}",
                    finding.hint,
                    finding.level,
                    finding.variants,
                    (finding.place, *finding.related),
                )


def _whole(manual: Manual, plan: Plan) -> bool:
    return can_walk(manual, plan) and not has_stray_steps(manual, plan)


def _jobs(manual: Manual, page: str) -> list[Job]:
    return [entity for entity in manual.entities_on(page).values() if isinstance(entity, Job)]


def _plans(manual: Manual, job: Job) -> list[Plan]:
    found = (manual.head(Procedure, str(name)) for name in job.procedures)
    return [manual.plan(procedure) for procedure in found if procedure is not None]
