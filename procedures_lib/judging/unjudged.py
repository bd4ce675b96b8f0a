"""What can't be judged: joints, numbers typed once, work in words, procedures that are not walked.

Silence of the checks is a promise. What they can say nothing of is no finding, and is listed here.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from functools import cache

from procedures_lib.findings import Place, Unjudged
from procedures_lib.judging.checks.mentions import plans_on, steps_on, things
from procedures_lib.judging.checks.walks import gap_in, gap_in_visit, is_state
from procedures_lib.judging.unjudged_joints import OF_JOINTS
from procedures_lib.language.entities.car import Connection
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS, everyday_verbs
from procedures_lib.language.entities.work import Action, Job, Procedure, Step
from procedures_lib.language.reading.page import Scalar
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.folder import uncollected
from procedures_lib.walk.circuits import LEAKS
from procedures_lib.walk.vehicle import is_understood

KINDS = {
    "joint": "joint",
    "number": "number typed once",
    "procedure": "procedure not walked",
    "job": "job not worked out",
    "work": "piece of work in free words",
    "order": "order",
    "circuit": "circuit opened and not tested",
    "fluid": "fluid of which there are several",
    "state": "state in free words",
}
"""The kinds of what is not judged, each as one of it is called in a count."""


def unjudged_in(manual: Manual, pages: Iterable[str] | None = None) -> list[Unjudged]:
    """Return what can't be judged of these pages, or of all, sorted by page and line."""
    with uncollected():
        chosen = manual.contents if pages is None else sorted(set(pages) & manual.contents.keys())
        return sorted({each for page in chosen for each in unjudged_on(manual, page)})


def unjudged_on(manual: Manual, page: str) -> Iterator[Unjudged]:
    """Yield what can't be judged of a page."""
    for asked in (*OF_JOINTS, *_OF_WORK):
        yield from asked(manual, page)


def counts_by_kind(items: Iterable[Unjudged]) -> dict[str, int]:
    """Return how many there are of each kind, in the order of :data:`KINDS`."""
    found = Counter(each.kind for each in items)
    return {kind: found[kind] for kind in KINDS}


def count_text(items: Iterable[Unjudged]) -> str:
    """Return "not judged: 12 joints, 1 procedure not walked"; "" when there is nothing."""
    numbers = counts_by_kind(items).items()
    said = [f"{number} {_of_many(kind, number)}" for kind, number in numbers if number]
    return f"not judged: {', '.join(said)}" if said else ""


def _of_many(kind: str, number: int) -> str:
    noun, space, rest = KINDS[kind].partition(" ")
    return f"{noun}{'' if number == 1 else 's'}{space}{rest}"


# -- what is not carried out -----------------------------------------------------------------------


def _procedures(manual: Manual, page: str) -> Iterator[Unjudged]:
    for procedure in things(manual, page, Procedure):
        gap = gap_in(manual, manual.plan(procedure))
        if gap is not None:
            what = f"`{procedure.id}`"
            yield Unjudged(procedure.place, "procedure", what, f"not walked: {gap.why}",
                           _elsewhere(procedure.place, gap.place))  # fmt: skip


def _jobs(manual: Manual, page: str) -> Iterator[Unjudged]:
    for job in things(manual, page, Job):
        gap = gap_in_visit(manual, job)
        if gap is not None:
            yield Unjudged(job.place, "job", f"`{job.id}`", f"not worked out: {gap.why}",
                           _elsewhere(job.place, gap.place))  # fmt: skip


def _elsewhere(own: Place, cause: Place) -> tuple[Place, ...]:
    return () if cause == own else (cause,)


def _states(manual: Manual, page: str) -> Iterator[Unjudged]:
    for procedure in things(manual, page, Procedure) if manual.sees_all(page) else ():
        lists = (("begins-with", procedure.begins_with), ("ends-with", procedure.ends_with))
        for field, word in ((field, word) for field, words in lists for word in words):
            if not is_state(manual, page, word.strip()):
                line = word.line if isinstance(word, Scalar) else procedure.place.line
                why = "no block describes this state, and the walk goes on without it"
                yield Unjudged(Place(page, line), "state", f"`{word}` in `{field}`", why)


# -- circuits --------------------------------------------------------------------------------------

_CIRCUITS = {
    "charge-air": r"\b(?:charge[- ]air|boost)\b",
    "vacuum": r"\bvacuum\b",
    "fuel-vapour": r"\b(?:fuel[- ])?vapour\b",
    "exhaust": r"\bexhaust\b",
}
"""Circuits that no check wants a test of, with what a test of them says."""
_NAMED = re.compile(
    "|".join(
        (*_CIRCUITS.values(), *(each.pattern for each in LEAKS.values()), r"\bbrake[- ]fluid\b")
    )
)


def _circuits(manual: Manual, page: str) -> Iterator[Unjudged]:
    for plan in plans_on(manual, page):
        tests = list(_leak_tests(plan))
        for carried, place in _opened(plan).items():
            words = re.compile(_CIRCUITS[carried])
            if not any(words.search(said) or not _NAMED.search(said) for said in tests):
                what = f"`{plan.head.id}` opens {carried}"
                why = "no step looks for leaks, and no check wants that of this circuit"
                yield Unjudged(Place(page, place.line), "circuit", what, why)


def _leak_tests(plan: Plan) -> Iterator[str]:
    for action in (action for numbered in plan.steps for action in numbered.step.actions):
        words = " ".join(action.objects)
        if action.verb in {"test", "inspect"} and "leak" in words:
            yield words


def _opened(plan: Plan) -> dict[str, Place]:
    """Where a procedure first opens each of these circuits, as its own page sees it."""
    found: dict[str, Place] = {}
    for numbered in plan.steps:
        for action in numbered.step.actions:
            for name in action.objects if VERBS[str(action.verb)].opens else ():
                line = plan.scope.of(Connection, str(name))
                if line is not None and line.carries in _CIRCUITS:
                    place = numbered.through.place if numbered.through else action.place
                    found.setdefault(str(line.carries), place)
    return found


# -- work in free words ----------------------------------------------------------------------------


def _work(manual: Manual, page: str) -> Iterator[Unjudged]:
    for step in steps_on(manual.contents[page]):
        for action in step.actions if not step.unread else ():
            for name in action.objects if not VERBS[str(action.verb)].kinds else ():
                if not (
                    _is_known(manual, page, str(name)) or _at_hand(manual, page, step, action, name)
                ):
                    what = f"`{action.verb} {name}`"
                    yield Unjudged(action.place, "work", what, "no block describes what it names")
        if not step.actions and not step.unread and not step.common:
            yield from _without_do(step)


def _is_known(manual: Manual, page: str, name: str) -> bool:
    """Tell whether what is looked at, measured, cleaned or tested is more than words."""
    if manual.scope(page).get(name) or name in KEYWORDS or name in BUILTIN_HAZARDS:
        return True
    if name == "kit" or is_understood(name):
        return True
    return manual.is_common(page) and name in manual.known_ids


def _at_hand(manual: Manual, page: str, step: Step, action: Action, name: str) -> bool:
    """Tell whether an action is about a tool or a supply of its step, or what a kit holds.

    What is applied may be called by a part of its name: grease, out of a sachet of it.
    """
    near = {
        *_names_near(manual, page),
        *(each.casefold() for each in (*step.tools, *step.supplies)),
    }
    said = name.casefold()
    part = action.verb == "apply" and any(said in each or each in said for each in near)
    return part or said in near


def _names_near(manual: Manual, page: str) -> frozenset[str]:
    """What the boxes of the kits in sight hold, by name."""

    def asked() -> frozenset[str]:
        kits = manual.scope(page).all(Kit)
        items = [item for kit in kits for item in kit.contents]
        labels = [str(kit.emissions.label) for kit in kits if kit.emissions]
        named = (*labels, *(name for item in items for name in (item.what, str(item.name))))
        return frozenset(name.casefold() for name in named if name)

    return manual.once(("names in boxes", page), asked)


_BEGINNING = re.compile(r"(?:\A|[.!?:;]\s+|\n\s*(?:[-*]\s+|\d+[.)]\s+)?)([A-Z][a-z-]+)\b")


def _without_do(step: Step) -> Iterator[Unjudged]:
    """Yield a step that says nothing of what it does, while a sentence of it tells to do work."""
    text = step.block.body
    said = next((w for w in _BEGINNING.findall(f"{step.title}.\n{text}") if _is_work(w)), None)
    if said is not None:
        why = f"it has no `do`, and its text tells to do work (“{said} …”)"
        yield Unjudged(step.place, "work", f"the step “{step.title}”", why)


@cache
def _is_work(word: str) -> bool:
    """Tell whether a sentence that begins with a word tells to change something on the car."""
    verbs = everyday_verbs().get(word.lower(), (word.lower(),))
    return all(verb in VERBS and VERBS[verb].kinds for verb in verbs)


_OF_WORK: tuple[Callable[[Manual, str], Iterator[Unjudged]], ...] = (
    _procedures,
    _jobs,
    _states,
    _circuits,
    _work,
)
