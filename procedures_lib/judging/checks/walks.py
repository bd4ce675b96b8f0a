"""Open items, order of work, hazards: what the walk of a procedure or a visit finds."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.conditions import vehicle_of
from procedures_lib.language.entities.base import Entity, fields_of
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Job, Procedure
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS
from procedures_lib.language.variants.car_sets import Space
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.scope import name_of
from procedures_lib.walk.visit import Clash, clashes, combine
from procedures_lib.walk.walk import circles, walk


def walked(manual: Manual, page: str) -> Iterator[Finding]:
    """Carry out the procedures of a page, on every car, and say what goes wrong.

    A procedure that could not be read whole is not carried out: what would follow from the gap is
    no finding of its own.
    """
    for entity in manual.entities_on(page).values():
        if isinstance(entity, Procedure):
            plan = manual.plan(entity)
            if not can_walk(manual, plan) or _goes_in_circles(manual, plan):
                continue
            if not has_stray_steps(manual, plan):
                done = walk(plan, manual)
                if not done.unsure:
                    yield from done.findings


def has_stray_steps(manual: Manual, plan: Plan) -> bool:
    """Tell whether a step is for cars that there can't be: that is a finding of its own."""
    vehicle = vehicle_of(manual, plan.head.place.page)
    if vehicle is None:
        return False
    known = dict(vehicle.options)
    space = Space(vehicle.options)
    for step in plan.content.steps_of(plan.head.id):
        tests = step.when.tests() if step.when != ALWAYS else ()
        if any(value not in known.get(option, ()) for option, value in tests):
            return True
        if step.when != ALWAYS and not space.region(step.when):
            return True
    return False


def _goes_in_circles(manual: Manual, plan: Plan) -> bool:
    pages = [name for name in plan.scope.pages if not _is_common(manual, name)]
    return any(next(chains(manual, name), None) is not None for name in pages)


def can_walk(manual: Manual, plan: Plan) -> bool:
    """Tell whether all that a procedure needs has been read."""
    page = plan.head.place.page
    if plan.vehicle is None or not manual.sees_all(page):
        return False
    if any(numbered.step.unread for numbered in plan.steps):
        return False
    steps = plan.content.steps_of(plan.head.id)
    if any(step.common and not _is_there(manual, step.common) for step in steps):
        return False
    common = {numbered.page for numbered in plan.steps}
    near = [name for name in plan.scope.pages if name in common or not _is_common(manual, name)]
    contents = [manual.contents[name] for name in {*near, page}]
    return not any(content.lost or content.damaged for content in contents)


def _is_there(manual: Manual, name: str) -> bool:
    return manual.head(Common, str(name)) is not None


def _is_common(manual: Manual, page: str) -> bool:
    return page in manual.common_pages


def chains(manual: Manual, page: str) -> Iterator[Finding]:
    """Find parts that are on, behind, or in place of themselves, directly or through others."""
    own = manual.entities_on(page)
    entities = list(manual.scope(page).entities()) if own else []
    for field, does in (("on", "is on"), ("behind", "is behind"), ("replaces", "replaces")):
        for circle in circles(dict(_mentioned(entities, field))):
            place = next((own[name].place for name in circle if name in own), None)
            if place is not None:
                names = " → ".join(f"`{name}`" for name in (*circle, circle[0]))
                said = f"`{circle[0]}` {does} itself: {names}"
                hint = f"take one `{field}` out: nothing can come first"
                yield Finding(place, "endless-chain", said, hint)


def _mentioned(entities: list[Entity], field: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield what each thing names there: first as kits say it, then as the thing itself does."""
    if field == "replaces":
        items = [item for e in entities if isinstance(e, Kit) for item in e.contents]
        yield from ((item.what, (str(item.replaces),)) for item in items if item.replaces)
    for entity in entities:
        value = getattr(entity, field) if field in fields_of(type(entity)) else None
        if value:
            yield entity.id, (str(value),) if isinstance(value, str) else tuple(map(str, value))


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


_STATES = ("as it arrives", "raised", "vehicle-raised", "battery-isolated", "battery-off")
_OFF = "-off"
_ALIKE = 0.85
"""How like a known state a word must be to be taken for a slip (difflib ratio)."""


def begins_with(manual: Manual, page: str) -> Iterator[Finding]:
    """Find words of `begins-with` that are so like a state, or an id, that they must be slips.

    Any other word is a state that this manual does not model, and is let pass.
    """
    if not manual.sees_all(page):
        return
    for entity in manual.entities_on(page).values():
        for word in entity.begins_with if isinstance(entity, Procedure) else ():
            if _is_known(manual, page, word) or _is_known(manual, page, word.removesuffix(_OFF)):
                continue
            near = get_close_matches(word, _known(manual, page), n=1, cutoff=_ALIKE)
            if near:
                line = word.line if isinstance(word, Scalar) else entity.place.line
                said = f"`begins-with` names `{word}`, which is no state and no id"
                yield Finding(Place(page, line), "unknown-id", said, f"did you mean `{near[0]}`?")


def _is_known(manual: Manual, page: str, word: str) -> bool:
    heads = (manual.head(Procedure, word), manual.head(Common, word))
    return word in _STATES or any(heads) or manual.scope(page).get(word) is not None


def _known(manual: Manual, page: str) -> list[str]:
    ids = list(manual.scope(page).ids())
    heads = [head.id for kind in (Procedure, Common) for head in manual.heads(kind)]
    return [*_STATES, *heads, *ids, *(f"{name}{_OFF}" for name in ids)]
