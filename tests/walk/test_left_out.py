"""Every action of the demo left out, one at a time: found, unless nothing on the car differs."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import pytest

from procedures_lib.language.entities.car import Connection, Fastener
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import NumberedStep, Plan
from procedures_lib.walk import walk
from tests.demo import demo, hands_on

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.findings import Finding

MANUAL = demo()
PLANS = {plan.head.id: plan for plan in MANUAL.plans()}

CHANGES_NOTHING = {"inspect", "clean", "measure", "apply"}
HARMLESS = {
    "start": "`tighten` starts a group too",
    "discard": "what is replaced is off, wherever it lies",
    "top-up": "the level after bleeding: no check asks for it",
    "test": "only the tests of fuel and brakes are asked for",
    "modify": "what is not cut stays whole: the walk can't know that it has to be cut",
    "cool": "nothing hot is opened on this car",
}


def without(plan: Plan) -> Iterator[tuple[NumberedStep, str, str, Plan]]:
    """Yield the plan without one object of one action, with what was left out."""
    for n, numbered in enumerate(plan.steps):
        actions = numbered.step.actions
        for at, action in enumerate(actions):
            if str(action.verb) in CHANGES_NOTHING:
                continue
            for each in action.objects:
                objects = tuple(other for other in action.objects if other is not each)
                kept = (replace(action, objects=objects),) if objects else ()
                step = replace(numbered.step, actions=(*actions[:at], *kept, *actions[at + 1 :]))
                steps = (*plan.steps[:n], replace(numbered, step=step), *plan.steps[n + 1 :])
                yield numbered, str(action.verb), str(each), replace(plan, steps=steps)


@cache
def left_out(name: str) -> list[tuple[NumberedStep, str, str, tuple[Finding, ...]]]:
    """What can be left out of a procedure, and what the walk then finds."""
    return [
        (numbered, verb, what, tuple(walk(changed, MANUAL).findings))
        for numbered, verb, what, changed in without(PLANS[name])
    ]


def is_harmless(plan: Plan, numbered: NumberedStep, verb: str, name: str) -> bool:
    """Tell whether leaving this out leaves the car as it should be all the same."""
    if verb == "test":
        asked = ("fuel", "brakes") if _opens_brakes(plan) else ("fuel",)
        return not any(word in name.replace("fuel-vapour", "") for word in asked)
    if verb in HARMLESS or (verb == "adjust" and _is_looked_at_only(plan, name)):
        return True
    later = {
        str(action.verb)
        for other in plan.steps
        if other.number >= numbered.number
        for action in other.step.actions
        if name in map(str, action.objects)
    }
    if verb == "support":  # what came off lies on its jack until that is taken away
        return _came_off_before(plan, numbered, name)
    if verb == "loosen":  # it is taken out later, tight or loose
        return "remove" in later
    # A loose clamp goes into the scrap on its hose as well as off it, and a joint is undone with
    # its bolt still in, once the nut is off.
    thing = plan.scope.get(name)
    if verb != "remove" or not isinstance(thing, Fastener):
        return False
    joint = any(name in c.holders for c in plan.scope.all(Connection))
    return thing.kind == "clamp" or (joint and not thing.tighten)


def _came_off_before(plan: Plan, numbered: NumberedStep, name: str) -> bool:
    """Tell whether a part was supported and taken off before, and not put down since."""
    before = [
        str(action.verb)
        for other in plan.steps
        if other.number < numbered.number
        for action in other.step.actions
        if name in map(str, action.objects)
    ]
    begins = plan.head.begins_with if isinstance(plan.head, Procedure) else ()
    handed_on = any(word in PLANS for word in map(str, begins))
    return ("support" in before or handed_on) and "release" not in before


def _is_looked_at_only(plan: Plan, name: str) -> bool:
    """Tell whether a step sets this, and none opens it."""
    verbs = {
        str(action.verb)
        for numbered in plan.steps
        for action in numbered.step.actions
        if name in map(str, action.objects)
    }
    return verbs == {"adjust"}


def _opens_brakes(plan: Plan) -> bool:
    return any(
        action.verb == "disconnect"
        and any(thing.carries == "brake-fluid" for thing in _connections(plan, action.objects))
        for numbered in plan.steps
        for action in numbered.step.actions
    )


def _connections(plan: Plan, names: tuple[str, ...]) -> list[Connection]:
    found = (plan.scope.of(Connection, str(name)) for name in names)
    return [connection for connection in found if connection is not None]


CLOSED = sorted(name for name, plan in PLANS.items() if not hands_on(plan))
"""Of a procedure that hands on, what is left out is found on the other page."""


@pytest.mark.parametrize("name", CLOSED)
def test_what_is_left_out_is_found(name: str) -> None:
    plan = PLANS[name]
    survivors = [
        (numbered.number, verb, what)
        for numbered, verb, what, findings in left_out(name)
        if not findings and not is_harmless(plan, numbered, verb, what)
    ]
    assert survivors == []
    assert len(left_out(name)) > 10


MISSED_BY_TWO = {
    "warm-air-cap": "its opening stands open, and it stays in its box",
    "plug-530-washers": "their plugs are tight without them, and they stay in their box",
    "diff-cover": "the oil runs out, and the plug of the axle lock has nothing to sit in",
}


@pytest.mark.parametrize("name", sorted(PLANS))
def test_one_thing_left_out_is_one_finding(name: str) -> None:
    """No cascades: two findings at most, and then each on other cars, or about another thing."""
    for numbered, verb, what, findings in left_out(name):
        apart = {finding.variants for finding in findings}
        cause = (numbered.number, verb, what)
        if what in MISSED_BY_TWO:
            assert len(findings) <= len(apart) + 1, cause
        else:
            assert len(findings) == len(apart) <= 2, cause
