"""What a step speaks of against what it does: joints, left-hand threads."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.judging.checks.mentions import plans_on, things, whole_things
from procedures_lib.judging.checks.prose import place_in
from procedures_lib.language.entities.car import Connection, Fastener, Vehicle
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Step
from procedures_lib.language.reading.page import Prose
from procedures_lib.manual import Manual, NumberedStep, Plan

_LEFT_HAND = re.compile(r"\bleft-hand(?:ed)? thread", re.IGNORECASE)


def _own_steps(manual: Manual, page: str) -> Iterator[tuple[Plan, NumberedStep]]:
    for plan in plans_on(manual, page):
        for numbered in plan.steps:
            if numbered.page == page and numbered.step.actions:
                yield plan, numbered


def foreign_joints(manual: Manual, page: str) -> Iterator[Finding]:
    """Find torques and drawings in a step that tightens other joints, and not that one."""
    for plan, numbered in _own_steps(manual, page):
        step = numbered.step
        worked = {str(name) for action in step.actions for name in action.objects}
        turned = {
            str(name)
            for action in step.actions
            if VERBS[action.verb].turns_in
            for name in action.objects
            if isinstance(plan.scope.get(str(name)), Fastener)
        }
        if not turned or _is_mistyped(plan, step):
            continue
        for name, line in _joints_shown(step):
            if name not in worked and plan.scope.of(Fastener, name) is not None:
                said = f"the step shows the torque or order of `{name}`, and tightens others"
                hint = f"name one of these: {', '.join(f'`{each}`' for each in sorted(turned))}"
                yield Finding(Place(page, line), "foreign-joint", said, hint)


def _is_mistyped(plan: Plan, step: Step) -> bool:
    """Tell whether a verb of the step does not go with its object: a finding of its own."""
    for action in step.actions:
        kinds = VERBS[action.verb].kinds
        things = (plan.scope.get(str(name)) for name in action.objects)
        if kinds and any(thing is not None and thing.KIND not in kinds for thing in things):
            return True
    return False


def _joints_shown(step: Step) -> Iterator[tuple[str, int]]:
    for role in step.block.roles:
        if role.name == "torque":
            yield str(role.target), role.target.line
    for inner in step.block.blocks:
        if inner.name == "order-drawing":
            yield str(inner.argument), inner.place.line


def words_and_facts(manual: Manual, page: str) -> Iterator[Finding]:
    """Find steps that speak of a left-hand thread, and whose fasteners have none."""
    for plan, numbered in _own_steps(manual, page):
        step = numbered.step
        things = [plan.scope.get(str(name)) for a in step.actions for name in a.objects]
        groups = [each for each in things if isinstance(each, Fastener)]
        left = any(group.turns == "left" for group in groups)
        texts = [*step.block.prose, *(p for signal in step.block.blocks for p in signal.prose)]
        for prose in texts:
            match = _LEFT_HAND.search(prose.text)
            if match and groups and not left and not any(map(manual.is_damaged, groups)):
                said = "the step speaks of a left-hand thread, and none of its fasteners has one"
                hint = "write `turns: left` on the fastener"
                yield _at(page, prose, match, said, hint)


def _at(page: str, prose: Prose, match: re.Match[str], said: str, hint: str) -> Finding:
    place = place_in(page, prose, match.start())
    return Finding(place, "prose-disagrees", said, hint, Level.WARNING)


_RUNS_IN = {
    "brake-fluid": r"\bbrake",
    "fuel": r"\b(?:fuel|petrol|diesel)\b(?!.*\b(?:vapour|filler|vent|pressure)\b)",
    "coolant": r"\b(?:coolant|heater|radiator)\b",
}
_RUNS_IN_IT = {carried: re.compile(words, re.IGNORECASE) for carried, words in _RUNS_IN.items()}
_LINES = frozenset({"hose", "pipe", "line"})


def unsaid_carries(manual: Manual, page: str) -> Iterator[Finding]:
    """Find hoses, pipes and lines called after a liquid that do not say that it runs in them."""
    for entity in whole_things(manual, page, Connection):
        if entity.kind in _LINES and entity.carries is None:
            named = f"{entity.name} {entity.id.replace('-', ' ')}"
            for carried, words in _RUNS_IN_IT.items():
                if words.search(named):
                    said = f"`{entity.id}` is called after what runs in it, and says no `carries`"
                    hint = f"write `carries: {carried}`: opening it is then judged"
                    yield Finding(entity.place, "carries-missing", said, hint, Level.WARNING)


def years(manual: Manual, page: str) -> Iterator[Finding]:
    """Find kits for model years that the car's own page does not have."""
    for kit in things(manual, page, Kit):
        car = manual.scope(page).of(Vehicle, str(kit.fits.vehicle))
        if car is None or car.years is None or kit.fits.years is None:
            continue
        if kit.fits.years.first < car.years.first or kit.fits.years.last > car.years.last:
            said = f"the kit fits {kit.fits.years}, and the page of `{car.id}` is for {car.years}"
            hint = "correct one of the two: of other years nothing is known here"
            yield Finding(kit.place, "out-of-range", said, hint, related=(car.place,))


_MOST_ENGAGED = 5.0
"""No thread is engaged over more than so many of its diameters: 1 to 2.5 are usual (handbooks)."""


def engagements(manual: Manual, page: str) -> Iterator[Finding]:
    """Find threads that are engaged over an impossible length: a slip of the unit."""
    for group in things(manual, page, Fastener):
        length = group.into.engagement if group.into else None
        if length is None or group.thread is None:
            continue
        diameter = group.thread.thread.diameter
        if length.si * 1000 > _MOST_ENGAGED * diameter:
            said = f"`{group.id}`: {length.tidy} of {group.thread.written} engaged can't be"
            hint = "1 to 2.5 diameters are usual: look at the unit"
            yield Finding(group.place, "out-of-range", said, hint)
