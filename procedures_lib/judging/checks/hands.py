"""Hands: how many a step takes, by its words, its hazards and what it moves."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.findings import Finding
from procedures_lib.judging.checks.mentions import every_plan_on
from procedures_lib.judging.checks.prose import place_in
from procedures_lib.judging.checks.step_text import texts
from procedures_lib.language.entities.car import Part
from procedures_lib.language.entities.work import Step
from procedures_lib.manual import Manual, NumberedStep, Plan
from procedures_lib.view.step import hazards_of_step

_HELPER = re.compile(
    r"\b(?:an?|the|your)\s+(?:second\s+person|helper|second\s+pair\s+of\s+hands)\b"
    r"|\bone\s+of\s+you\b|\b(?:two|both|four)\s+(?:people|of\s+you)\b|\bthe\s+two\s+of\s+you\b"
    r"|\bone\s+(?:holds|pulls|turns|steers|pushes|lifts)\b[^.]*\bthe\s+other\b"
    r"|\b(?:the\s+one|one)\s+(?:at|inside|outside)\b[^.]*\b(?:other|one\s+(?:at|inside|outside|with))\b",
    re.IGNORECASE,
)
"""How a step says that one is not enough: common practice, no source."""
_TWO = re.compile(r"\b(?:two\s+people|two\s+of\s+you)\b", re.IGNORECASE)


def hands(manual: Manual, page: str) -> Iterator[Finding]:
    """Find steps for one person whose words, or hazards, ask for two."""
    for plan in every_plan_on(manual, page):
        own = (n for n in plan.steps if n.page == page and not n.through and n.step.actions)
        alone = [numbered for numbered in own if numbered.step.people < 2]
        for numbered in alone:
            yield from _told_by_prose(numbered.step, page)
        for hazard in plan.scope.each_hazard() if alone else ():
            if "two" in hazard.avoid and _TWO.search(hazard.avoid):
                yield from _told_by_hazard(hazard.id, plan, alone)
        yield from _by_fewer(plan, alone)


def _by_fewer(plan: Plan, alone: list[NumberedStep]) -> Iterator[Finding]:
    """Find heavy things that one moves here and several elsewhere in the procedure."""
    several = [n for n in plan.steps if n.step.people > 1]
    moved = {name: n for n in several for name in _heavy_in(n.step, plan)}
    for numbered in alone if moved else ():
        for name in _heavy_in(numbered.step, plan):
            if name in moved:
                other = moved[name]
                said = (
                    f"one moves `{name}`, and in step {other.number} it takes {other.step.people}"
                )
                related = ((other.through or other.step).place,)
                yield Finding(numbered.step.place, "not-at-hand", said,
                              f"write `people: {other.step.people}`", related=related)  # fmt: skip


_MOVES = frozenset({"remove", "fit", "lift", "position", "seat"})


def _heavy_in(step: Step, plan: Plan) -> Iterator[str]:
    """Yield the parts that a step moves and that have to be held, or that one can't lift."""
    for action in step.actions:
        for name in map(str, action.objects) if action.verb in _MOVES else ():
            part = plan.scope.of(Part, name)
            if part is not None and part.is_heavy:
                yield name


def _may_tell(text: str) -> bool:
    """Tell whether a text has one of the words that are in all that is looked for: a quick look."""
    return (
        "helper" in text or "you" in text or "people" in text or "hands" in text
        or "person" in text or "other" in text or "side" in text
    )  # fmt: skip


_TWO_OF_YOU = "write `people: 2`"


def _told_by_prose(step: Step, page: str) -> Iterator[Finding]:
    for prose in texts(step):
        match = _HELPER.search(prose.text) if _may_tell(prose.text) else None
        if match:
            words = " ".join(match[0].split())
            said = f"“{words}”: the step speaks of more than one, and says `people: 1`"
            place = place_in(page, prose, match.start())
            yield Finding(place, "prose-disagrees", said, _TWO_OF_YOU)
            return


def _told_by_hazard(name: str, plan: Plan, alone: list[NumberedStep]) -> Iterator[Finding]:
    """Find the steps for one that call for a hazard which asks for two."""
    for numbered in alone:
        if name in hazards_of_step(numbered, plan) and not _speaks(numbered.step):
            said = f"`{name}` asks for two people, and the step says `people: 1`"
            yield Finding(numbered.step.place, "not-at-hand", said, _TWO_OF_YOU)


def _speaks(step: Step) -> bool:
    return any(_HELPER.search(prose.text) for prose in texts(step))
