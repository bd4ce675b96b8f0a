"""Open items, order of work, hazards: what the walk of a procedure or a visit finds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.conditions import no_car_meets, vehicle_of
from procedures_lib.judging.checks.mentions import plans_on, things
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import Connection
from procedures_lib.language.entities.entity import Entity, fields_of, leans_on
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS, Hazard
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.verbs import KEYWORD_VERBS, KEYWORDS, VERBS
from procedures_lib.language.entities.work import Action, Common, Job, Procedure
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS
from procedures_lib.language.variants.car_sets import Space
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.names import name_of
from procedures_lib.spelling import nearest
from procedures_lib.walk.hand_over import STATE_WORDS, begun_before, not_met
from procedures_lib.walk.visit import Clash, clashes, combine
from procedures_lib.walk.walk import walk


def procedures(manual: Manual, page: str) -> Iterator[Finding]:
    """Carry out the procedures of a page, on every car, and say what goes wrong.

    A procedure that could not be read whole is not carried out: what would follow from the gap is
    no finding of its own.
    """
    for plan in plans_on(manual, page):
        if is_sound(manual, plan):
            done = walk(plan, manual)
            if not done.unsure:
                yield from done.findings


def is_sound(manual: Manual, plan: Plan) -> bool:
    """Tell whether all of a procedure was read, for cars that there are, without a circle."""
    return _first_gap(manual, plan) is None


def _first_gap(manual: Manual, plan: Plan) -> Gap | None:
    key = ("gap", plan.head.KIND, plan.head.id)
    return manual.once(key, lambda: next(_gaps(manual, plan), None))


@dataclass(frozen=True, slots=True)
class Gap:
    """Why a procedure is not carried out: what could not be read, and where."""

    why: str
    place: Place


def gap_in(manual: Manual, plan: Plan) -> Gap | None:
    """Return why a procedure is not carried out; None for one that is."""
    return _first_gap(manual, plan) or next(_strange(manual, plan), None)


def gap_in_visit(manual: Manual, job: Job) -> Gap | None:
    """Return why a job is not worked out; None for one that is."""
    scope = manual.scope(job.place.page)
    plans = []
    for name in job.procedures:
        head = manual.head(Procedure, str(name))
        if head is None:
            return Gap(f"`{name}` can't be found or read", _line_of(name, job.place))
        plans.append(manual.plan(head))
    for plan in plans:
        gap = _first_gap(manual, plan) or next(_strange(manual, replace(plan, scope=scope)), None)
        if gap is not None:
            return Gap(f"`{plan.head.id}` is not walked: {gap.why}", gap.place)
    whys = (f"two of its procedures both replace `{clash.what}`" for clash in clashes(manual, job))
    return next((Gap(why, job.place) for why in whys), None)


def can_walk(manual: Manual, plan: Plan) -> bool:
    """Tell whether all that a procedure needs has been read."""
    return next(_unread(manual, plan), None) is None


def _gaps(manual: Manual, plan: Plan) -> Iterator[Gap]:
    yield from _unread(manual, plan)
    yield from _stray(manual, plan)
    for name in plan.scope.pages:
        if name not in manual.common_pages:
            yield from (Gap(found.message, found.place) for found in chains(manual, name))


def _unread(manual: Manual, plan: Plan) -> Iterator[Gap]:
    page = plan.head.place.page
    if plan.vehicle is None:
        named = plan.head.vehicle
        why = f"its car `{named}` can't be found or read" if named else "it names no car"
        yield Gap(why, _line_of(named, plan.head.place))
    for name in sorted(plan.scope.shared):
        things_ = (thing.place for thing in plan.scope.entities() if thing.id == name)
        yield Gap(f"several things have the id `{name}`", next(things_, plan.head.place))
    if not manual.sees_all(page):
        yield _head_missing(manual, page)
    for numbered in plan.steps:
        for text in numbered.step.unread:
            place = _line_of(text, numbered.step.place)
            yield Gap(f"`{text}` in its steps can't be read", place)
    for step in plan.content.steps_of(plan.head.id):
        if step.common and manual.head(Common, str(step.common)) is None:
            yield Gap(f"the common steps `{step.common}` can't be found or read", step.place)
    yield from _lost_near(manual, plan)


def _line_of(word: str | None, place: Place) -> Place:
    return Place(place.page, word.line) if isinstance(word, Scalar) and word.line else place


def _head_missing(manual: Manual, page: str) -> Gap:
    """What a page leans on, and can't be found or read, or stands twice."""
    named = (ref for entity in manual.entities_on(page).values() for ref in leans_on(entity))
    for kind, target in ((kind, ref.target) for ref in named for kind in ref.kinds):
        name = str(target)
        at = Place(page, target.line)
        if (kind, name) in manual.twice:
            return Gap(f"there are two of the {kind} `{name}`", at)
        if kind in HEADS and manual.head(HEADS[kind], name) is None:
            lost = manual.page_of(HEADS[kind], name)
            at = _first_finding(manual, lost) if lost else at
            return Gap(f"the {kind} `{name}` can't be found or read", at)
    return Gap("a head on its page can't be read", _first_finding(manual, page))


def _lost_near(manual: Manual, plan: Plan) -> Iterator[Gap]:
    """Yield what could not be read on the pages that a procedure is drawn from."""
    page = plan.head.place.page
    strange = set(manual.common_pages) - {numbered.page for numbered in plan.steps}
    for name in dict.fromkeys((page, *plan.scope.pages)):
        content = manual.contents[name]
        if name in strange - {page} or not (content.lost or content.damaged):
            continue
        damaged = [e for e in content.entities if e.id in content.damaged and not content.lost]
        what = f"`{min(content.lost or content.damaged)}`"
        place = damaged[0].place if damaged else _first_finding(manual, name)
        what = f"`{damaged[0].id}`" if damaged else what
        yield Gap(f"{what} can't be read whole", place)


def _first_finding(manual: Manual, page: str) -> Place:
    """The line of a page at which something could not be read."""
    content = manual.contents[page]
    found = (*content.findings, *content.page.findings)
    return min((each.place for each in found), default=Place(page, 1))


def _stray(manual: Manual, plan: Plan) -> Iterator[Gap]:
    """Yield the steps that are for cars that there can't be: each is a finding of its own."""
    vehicle = vehicle_of(manual, plan.head.place.page)
    steps = [s for s in plan.content.steps_of(plan.head.id) if s.when != ALWAYS]
    if vehicle is None or not steps:
        return
    space = Space(vehicle.options)
    for step in steps:
        if no_car_meets(step.when, vehicle, space):
            yield Gap(f"a step is for cars with `{step.when}`, which there can't be", step.place)


def _strange(manual: Manual, plan: Plan) -> Iterator[Gap]:
    """Yield the actions that the walk would pass over, and not go on: ids and verbs of no use."""
    before = (each for each in begun_before(plan, manual) if isinstance(each, Plan))
    for numbered in (step for each in (*before, plan) for step in each.steps):
        for action in numbered.step.actions:
            on = [] if action.on is None or plan.scope.kinds(action.on) & THINGS else [action.on]
            strange = on + [n for n in action.objects if _is_strange(plan, action, str(n))]
            for name in strange:
                yield Gap(f"`{action.verb} {name}` means nothing here", action.place)


THINGS = frozenset({"part", "connection", "fastener", "opening", "fluid"})
"""What has a state in a walk."""


def _is_strange(plan: Plan, action: Action, name: str) -> bool:
    """Tell whether the walk can't do an action to what has this name."""
    verb, scope = VERBS[str(action.verb)], plan.scope
    thing = scope.get(name)
    if not verb.kinds or (thing and thing.KIND in verb.kinds & THINGS):
        return False
    builtin = name in BUILTIN_HAZARDS
    itself = KEYWORDS.get(name) in verb.kinds or (builtin and "hazard" in verb.kinds)
    kinds = frozenset() if itself else scope.kinds(name) & THINGS
    if kinds:
        return verb.name != "modify" and not kinds & verb.kinds
    if verb.name == "tag" and any(each.alike == name for each in scope.all(Connection)):
        return False
    if builtin or KEYWORDS.get(name) == "hazard" or isinstance(thing, Hazard):
        verbs = KEYWORD_VERBS.get(name)
        return verb.makes_safe and verbs is not None and verb.name not in verbs
    return not itself


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
        if clashes(manual, job) or not all(is_sound(manual, plan) for plan in plans):
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
    near = "" if is_state(manual, page, word) else nearest(word, _known(manual, page))
    if near:
        said = f"`{field}` names `{word}`, which is no state and no id"
        yield Finding(place, "unknown-id", said, f"did you mean `{near}`?")


def is_state(manual: Manual, page: str, word: str) -> bool:
    """Tell whether a word of `begins-with` or `ends-with` names something that is modelled."""
    return any(_is_known(manual, page, name) for name in (word, word.removesuffix(_OFF)))


def _is_known(manual: Manual, page: str, word: str) -> bool:
    heads = (manual.head(Procedure, word), manual.head(Common, word))
    return word in STATE_WORDS or any(heads) or manual.scope(page).get(word) is not None


def _known(manual: Manual, page: str) -> list[str]:
    ids = list(manual.scope(page).ids())
    heads = [head.id for kind in (Procedure, Common) for head in manual.heads(kind)]
    return [*STATE_WORDS, *heads, *ids, *(f"{name}{_OFF}" for name in ids)]
