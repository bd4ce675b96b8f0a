"""Signs in a step, held against what the step does: a hazard belongs to things and work."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.findings import Finding
from procedures_lib.judging.checks.mentions import every_plan_on
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS, BuiltinHazard, Hazard
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Signal, Step
from procedures_lib.manual import Manual, Scope
from procedures_lib.view.step import hazard_named, hazards_of_step


def foreign_signs(manual: Manual, page: str) -> Iterator[Finding]:
    """Find signs in a step about a hazard that nothing in the step has to do with."""
    for plan in every_plan_on(manual, page):
        heads = {str(name) for name in getattr(plan.head, "hazards", ())}
        for numbered in plan.steps:
            step = numbered.step
            shown = [s for s in step.signals if s.hazard] if _works(step) else []
            if numbered.through is not None or numbered.page != page or not shown:
                continue
            known = {*heads, *hazards_of_step(numbered, plan)}
            for signal in (each for each in shown if str(each.hazard) not in known):
                yield from _foreign_sign(signal, step, plan.scope)


_LOOKS = frozenset({"inspect", "measure", "clean", "apply", "test"})


def _works(step: Step) -> bool:
    """Tell whether a step does more than look: what one looks at can lie beside any danger."""
    return any(action.verb not in _LOOKS for action in step.actions)


def _foreign_sign(signal: Signal, step: Step, scope: Scope) -> Iterator[Finding]:
    hazard = hazard_named(signal.hazard, scope)
    if hazard is None:
        return
    callers = _callers(hazard, scope)
    if callers and (callers & _touched(step, scope) or _has_its_name(signal, hazard)):
        return
    said = f"{signal.word} shows `{signal.hazard}`, and nothing in the step has to do with it"
    hint = "name the hazard of what the step does"
    if not callers:
        said = f"{signal.word} shows `{signal.hazard}`, and nothing on the car calls for it"
        hint = "say on the car's page what does (`called-by`), or name it in the head's `hazards`"
    yield Finding(signal.place, "foreign-sign", said, hint)


def _callers(hazard: BuiltinHazard | Hazard, scope: Scope) -> set[str]:
    """All words that call for a hazard, and what makes it safe."""
    builtin = BUILTIN_HAZARDS.get(hazard.id)
    words = {str(w) for each in scope.each_hazard() if each.id == hazard.id for w in each.called_by}
    if builtin is not None:
        words.update(builtin.carries, builtin.part_kinds, builtin.verbs)
    return words | set(hazard.made_safe_by.split()[1:]) if words else words


def _touched(step: Step, scope: Scope) -> set[str]:
    """All that a step has to do with: verbs, things, what they replace, hold, end at and carry."""
    found: set[str] = set()
    for action in step.actions:
        found.add("raise" if action.verb == "lower" else str(action.verb))
        found.update(map(str, action.names))
        for thing in (scope.get(str(name)) for name in action.names):
            found.update(_around(thing, scope))
    return found


def _around(thing: Entity | None, scope: Scope) -> Iterator[str]:
    """Yield what a thing replaces, is on, ends at, is exposed by, and what runs in it."""
    for field in ("replaces", "on", "carries", "kind"):
        yield str(getattr(thing, field, "") or "")
    for field in ("between", "exposed_by", "behind", "drain", "fill"):
        yield from map(str, getattr(thing, field, ()))
    if isinstance(thing, Fastener):
        for line in scope.all(Connection):
            if thing.id in line.holders:
                yield from (line.id, line.carries or "")
        yield from (part.id for part in scope.all(Part) if thing.id in part.held_by)
    name = thing.id if thing is not None else ""
    for kit in scope.all(Kit):
        yield from (str(i.replaces) for i in kit.contents if i.what == name and i.replaces)


_SMALL_WORDS = frozenset(
    {"with", "from", "under", "this", "that", "over", "open", "their", "without"}
)


def _has_its_name(signal: Signal, hazard: BuiltinHazard | Hazard) -> bool:
    """Tell whether a sign's title has a word of the hazard's name."""
    words = set(re.findall(r"[a-z]{4,}", signal.title.lower())) - _SMALL_WORDS
    named = f"{hazard.name} {hazard.id}".lower()
    return any(word in named for word in words)
