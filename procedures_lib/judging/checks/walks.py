"""Open items, order of work, hazards: what the walk of a procedure or a visit finds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.conditions import no_car_meets, vehicle_of
from procedures_lib.judging.checks.mentions import plans_on, things
from procedures_lib.language.entities.entity import Entity, fields_of
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Job, Procedure
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS
from procedures_lib.language.variants.car_sets import Space
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.scope import name_of
from procedures_lib.spelling import nearest
from procedures_lib.walk.hand_over import STATE_WORDS, not_met
from procedures_lib.walk.visit import Clash, clashes, combine
from procedures_lib.walk.walk import walk


def procedures(manual: Manual, page: str) -> Iterator[Finding]:
    """Carry out the procedures of a page, on every car, and say what goes wrong.

    A procedure that could not be read whole is not carried out: what would follow from the gap is
    no finding of its own.
    """
    for plan in plans_on(manual, page):
        if _is_sound(manual, plan) and not _goes_in_circles(manual, plan):
            done = walk(plan, manual)
            if not done.unsure:
                yield from done.findings


def _is_sound(manual: Manual, plan: Plan) -> bool:
    return can_walk(manual, plan) and not has_stray_steps(manual, plan)


def has_stray_steps(manual: Manual, plan: Plan) -> bool:
    """Tell whether a step is for cars that there can't be: that is a finding of its own."""
    vehicle = vehicle_of(manual, plan.head.place.page)
    steps = plan.content.steps_of(plan.head.id)
    conditions = [step.when for step in steps if step.when != ALWAYS]
    if vehicle is None or not conditions:
        return False
    space = Space(vehicle.options)
    return any(no_car_meets(condition, vehicle, space) for condition in conditions)


def _goes_in_circles(manual: Manual, plan: Plan) -> bool:
    pages = [name for name in plan.scope.pages if name not in manual.common_pages]
    return any(next(chains(manual, name), None) is not None for name in pages)


def can_walk(manual: Manual, plan: Plan) -> bool:
    """Tell whether all that a procedure needs has been read."""
    page = plan.head.place.page
    if plan.vehicle is None or plan.scope.shared or not manual.sees_all(page):
        return False
    if any(numbered.step.unread for numbered in plan.steps):
        return False
    steps = plan.content.steps_of(plan.head.id)
    if any(step.common and manual.head(Common, str(step.common)) is None for step in steps):
        return False
    strange = set(manual.common_pages) - {numbered.page for numbered in plan.steps}
    near = {page, *plan.scope.pages} - (strange - {page})
    return not any(manual.contents[name].lost or manual.contents[name].damaged for name in near)


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


def circles(edges: Mapping[str, Sequence[str]]) -> Iterator[tuple[str, ...]]:
    """Yield the circles of a relation, each once: the ids on it, from the first that leads there.

    Every id is looked at once, so that the time is in proportion to the mentions.
    """
    done: set[str] = set()
    for start in edges:
        if start in done:
            continue
        path: dict[str, None] = {start: None}
        heap = [(start, iter(edges[start]))]
        while heap:
            name, rest = heap[-1]
            target = next((each for each in rest if each in edges and each not in done), None)
            if target is None:
                heap.pop()
                path.pop(name)
                done.add(name)
            elif target in path:
                names = list(path)
                yield tuple(names[names.index(target) :])
            else:
                path[target] = None
                heap.append((target, iter(edges[target])))


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
    for job in things(manual, page, Job):
        for clash in clashes(manual, job):
            yield _conflict(manual, job, clash)


def _conflict(manual: Manual, job: Job, clash: Clash) -> Finding:
    scope = manual.scope(job.place.page)
    entity = scope.get(clash.what)
    name = name_of(entity, scope) if entity else f"the {clash.what}"
    first, second = clash.procedures
    said = f"`{first}` and `{second}` can't be done in one visit: both replace {name}"
    return Finding(job.place, "job-conflict", said, "leave one of the two out of the job")


def visits(manual: Manual, page: str) -> Iterator[Finding]:
    """Carry out the whole visit, and say what goes wrong that does not in one procedure alone."""
    for job in things(manual, page, Job):
        heads = [manual.head(Procedure, str(name)) for name in job.procedures]
        plans = [manual.plan(head) for head in heads if head is not None]
        if clashes(manual, job) or not all(_is_sound(manual, plan) for plan in plans):
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
                message = f"in this visit: {finding.message}"
                related = (finding.place, *finding.related)
                yield replace(finding, place=job.place, message=message, related=related)


_OFF = "-off"


def begins_and_ends(manual: Manual, page: str) -> Iterator[Finding]:
    """Find words of `begins-with` and `ends-with` that are a misspelt state or id, and procedures
    that hand on to one which does not begin with them.

    Any other word is a state that this manual does not model, and is let pass.
    """
    if not manual.sees_all(page):
        return
    for procedure in things(manual, page, Procedure):
        lists = (("begins-with", procedure.begins_with), ("ends-with", procedure.ends_with))
        for field, words in lists:
            for word in words:
                line = word.line if isinstance(word, Scalar) else procedure.place.line
                yield from _misspelt(manual, field, word, Place(page, line))
        plan = manual.plan(procedure)
        for named in not_met(plan, manual):
            line = named.line if isinstance(named, Scalar) else procedure.place.line
            said = f"`ends-with` hands on to `{named}`, which does not begin with `{procedure.id}`"
            hint = f"write `begins-with: {procedure.id}` there, or name here what stays open"
            yield Finding(Place(page, line), "ends-otherwise", said, hint)


def _misspelt(manual: Manual, field: str, word: str, place: Place) -> Iterator[Finding]:
    page = place.page
    if _is_known(manual, page, word) or _is_known(manual, page, word.removesuffix(_OFF)):
        return
    near = nearest(word, _known(manual, page))
    if near:
        said = f"`{field}` names `{word}`, which is no state and no id"
        yield Finding(place, "unknown-id", said, f"did you mean `{near}`?")


def _is_known(manual: Manual, page: str, word: str) -> bool:
    heads = (manual.head(Procedure, word), manual.head(Common, word))
    return word in STATE_WORDS or any(heads) or manual.scope(page).get(word) is not None


def _known(manual: Manual, page: str) -> list[str]:
    ids = list(manual.scope(page).ids())
    heads = [head.id for kind in (Procedure, Common) for head in manual.heads(kind)]
    return [*STATE_WORDS, *heads, *ids, *(f"{name}{_OFF}" for name in ids)]
