"""Several procedures on one car in one visit: one order, in which shared work is done once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial, reduce
from itertools import islice, permutations
from typing import TypeAlias

from procedures_lib.findings import Finding
from procedures_lib.language.entities.kit import Kit, Needs
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Job, Procedure
from procedures_lib.manual import Manual
from procedures_lib.manual.plan import NumberedStep, Plan
from procedures_lib.walk.walk import Walk, walk

_MOST_TRIED = 24
"""The most sequences of procedures that are tried: all of four."""

_LEAST_SECONDS = 1.0
"""What a shared step without a time is taken to save, so that it is shared at all."""


@dataclass(frozen=True, slots=True)
class Visited:
    """One step of a visit: ``at`` are its (procedure id, step number), more than one if shared."""

    step: NumberedStep
    at: tuple[tuple[str, int], ...]

    @property
    def shared(self) -> bool:
        """Whether the step serves several procedures."""
        return len(self.at) > 1


@dataclass(frozen=True, slots=True)
class Visit:
    """A job worked out: its steps in one row, and what its walk finds.

    ``alone_seconds`` is the time of all procedures one after the other.
    """

    job: Job
    order: tuple[str, ...]
    steps: tuple[Visited, ...]
    walk: Walk
    alone_seconds: float

    @property
    def seconds(self) -> float:
        """The time of all steps, shared ones once."""
        return sum(_seconds(each.step) for each in self.steps)

    @property
    def saved_seconds(self) -> float:
        """The time that the procedures take longer one after the other."""
        return self.alone_seconds - self.seconds

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the walk of the whole visit finds."""
        return self.walk.findings


Alike: TypeAlias = "Callable[[Visited, Visited], bool]"
"""Tells whether two steps are shared."""


@dataclass(frozen=True, slots=True)
class Clash:
    """Two procedures of one visit that can't both be done: both take the place of one thing."""

    what: str
    procedures: tuple[str, str]


def combine(manual: Manual, job: Job) -> Visit | None:
    """Work a job out; None when it names no procedure that there is."""
    plans = [manual.plan(p) for name in job.procedures if (p := manual.head(Procedure, name))]
    if not plans:
        return None
    best: Visit | None = None
    for alike in (_alike, _the_same, _never):
        for order in islice(permutations(plans), _MOST_TRIED):
            visit = _visit(manual, job, order, alike)
            if not visit.findings:
                return visit
            if best is None or len(visit.findings) < len(best.findings):
                best = visit
    return best


def clashes(manual: Manual, job: Job) -> list[Clash]:
    """Return what two procedures of the job both replace, calibration included."""
    taken: dict[str, str] = {}
    found = []
    for name in map(str, job.procedures):
        procedure = manual.head(Procedure, name)
        kit = manual.head(Kit, procedure.kit) if procedure and procedure.kit else None
        for what in sorted(_replaced(manual, kit)) if kit else ():
            if what in taken:
                found.append(Clash(what, (taken[what], name)))
            taken.setdefault(what, name)
    return found


def _replaced(manual: Manual, kit: Kit) -> set[str]:
    """What a kit takes the place of: the things that its contents say they replace."""
    named = {str(item.replaces) for item in kit.contents if item.replaces}
    page = manual.entities_on(kit.place.page)
    for item in kit.contents:
        if replaced := getattr(page.get(item.what), "replaces", None):
            named.add(str(replaced))
    return named | {"calibration"} if kit.needs.calibration else named


def _visit(manual: Manual, job: Job, plans: Sequence[Plan], alike: Alike) -> Visit:
    rows = [[Visited(n, ((plan.head.id, n.number),)) for n in plan.steps] for plan in plans]
    row = reduce(partial(_merge, alike), rows)
    steps = [Visited(replace(each.step, number=n), each.at) for n, each in enumerate(row, start=1)]
    plan = _plan(manual, job, plans, [each.step for each in steps])
    order = tuple(plan.head.id for plan in plans)
    alone = sum(_seconds(step) for plan in plans for step in plan.steps)
    return Visit(job, order, tuple(steps), walk(plan, manual), alone)


def _plan(manual: Manual, job: Job, plans: Sequence[Plan], steps: list[NumberedStep]) -> Plan:
    """The visit as one procedure, with what all boxes hold."""
    kits = [kit for plan in plans for kit in plan.kits]
    heads = [plan.head for plan in plans if isinstance(plan.head, Procedure)]
    own_ids = {head.id for head in heads}
    begins = dict.fromkeys(word for head in heads for word in head.begins_with)
    ends = dict.fromkeys(word for head in heads for word in head.ends_with)
    head = Procedure.model_construct(
        id=job.id,
        place=job.place,
        vehicle=job.vehicle,
        revision="",
        begins_with=tuple(word for word in begins if word.strip() not in own_ids),
        ends_with=tuple(word for word in ends if word.strip() not in own_ids),
    )
    signals = [signal for plan in plans for signal in plan.content.signals]
    own = manual.contents[job.place.page]
    content = replace(own, signals=(*own.signals, *signals))
    scope = manual.scope(job.place.page)
    kit = _box(job, kits) if kits else None
    return Plan(head, content, scope, tuple(steps), plans[0].vehicle, kit, tuple(kits))


def _box(job: Job, kits: list[Kit]) -> Kit:
    """What the kits hold and need together, on the cars that all of them fit."""
    when = reduce(lambda a, b: a & b, (kit.fits.when for kit in kits), job.when)
    needs = next((kit.needs for kit in kits if kit.needs.calibration), Needs())
    return Kit.model_construct(
        id=job.id,
        place=job.place,
        name=job.name,
        fits=kits[0].fits.model_copy(update={"when": when}),
        contents=tuple(item for kit in kits for item in kit.contents),
        returns=tuple(name for kit in kits for name in kit.returns),
        needs=needs,
    )


def _merge(alike: Alike, first: list[Visited], second: list[Visited]) -> list[Visited]:
    """Merge two rows of steps, each in its own order, sharing what saves most time."""
    best = _savings(alike, first, second)
    row: list[Visited] = []
    i = j = 0
    while i < len(first) and j < len(second):
        if alike(first[i], second[j]) and best[i][j] == best[i + 1][j + 1] + _worth(first[i]):
            row.append(_shared(first[i], second[j]))
            i, j = i + 1, j + 1
        elif best[i][j] == best[i + 1][j]:
            row.append(first[i])
            i += 1
        else:
            row.append(second[j])
            j += 1
    return row + first[i:] + second[j:]


def _savings(alike: Alike, first: list[Visited], second: list[Visited]) -> list[list[float]]:
    """The most time that the rows from (i, j) on can share: longest common subsequence by time."""
    best = [[0.0] * (len(second) + 1) for _ in range(len(first) + 1)]
    for i in reversed(range(len(first))):
        for j in reversed(range(len(second))):
            best[i][j] = max(best[i + 1][j], best[i][j + 1])
            if alike(first[i], second[j]):
                best[i][j] = max(best[i][j], best[i + 1][j + 1] + _worth(first[i]))
    return best


def _alike(one: Visited, other: Visited) -> bool:
    """Tell whether one of two steps does all that the other does, on the same cars."""
    a, b = one.step, other.step
    if a.when != b.when:
        return False
    if _the_same(one, other):
        return True
    done_a, done_b = _effects(a), _effects(b)
    return bool(done_a and done_b) and (done_a <= done_b or done_b <= done_a)


def _the_same(one: Visited, other: Visited) -> bool:
    """Tell whether two steps are one and the same, or do the same, on the same cars."""
    a, b = one.step, other.step
    does = bool(a.step.actions) and a.step.actions == b.step.actions
    return a.when == b.when and (a.step.place == b.step.place or does)


def _never(_one: Visited, _other: Visited) -> bool:
    """Share nothing: one procedure is done after the other."""
    return False


def _effects(numbered: NumberedStep) -> frozenset[tuple[str, ...]]:
    """What a step changes: (verb, object, new parent, stage) of each action that changes it."""
    return frozenset(
        (str(action.verb), str(name), str(action.on or ""), str(action.stage))
        for action in numbered.step.actions
        if VERBS[str(action.verb)].kinds
        for name in action.objects
    )


def _shared(one: Visited, other: Visited) -> Visited:
    """Return the step that serves both: the one that does more."""
    more = one if len(_effects(one.step)) >= len(_effects(other.step)) else other
    return Visited(more.step, one.at + other.at)


def _worth(visited: Visited) -> float:
    return max(_seconds(visited.step), _LEAST_SECONDS)


def _seconds(numbered: NumberedStep) -> float:
    return numbered.step.time.si if numbered.step.time is not None else 0.0
