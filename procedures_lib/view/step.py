"""A step as every front end shows it: what is done to which thing, and its hazards."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import reduce
from operator import or_

from procedures_lib.engineering.tightening import Stage
from procedures_lib.language.entities.car import BUILTIN_HAZARDS, BuiltinHazard, Fastener, Hazard
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.work import Action, Procedure, Signal, Step
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import possible
from procedures_lib.manual import NumberedStep, Plan, Scope
from procedures_lib.manual.scope import called_by, closed_by, humanised, name_of
from procedures_lib.view.uses import Uses, made_once, numbers_of, options_of

SIGNAL_RANKS = {"DANGER": 4, "WARNING": 3, "CAUTION": 2, "NOTICE": 1}
"""Rank of the signal words, ANSI Z535.4-2007, 4.14."""


@dataclass(frozen=True, slots=True)
class Thing:
    """What is worked on: ``entity`` is None for words that name no thing of the manual.

    ``id`` is as it was written, ``name`` what it is called, ``when`` the cars that have it.
    """

    id: str
    name: str
    entity: Entity | None = None
    when: Condition = ALWAYS

    @property
    def count(self) -> int | None:
        """How many there are; None of what is not counted."""
        count = getattr(self.entity, "count", None)
        return count if isinstance(count, int) else None


@dataclass(frozen=True, slots=True)
class ActionView:
    """One action: ``on`` is what the things are put on; ``stage`` the one to do, 0 for all."""

    verb: str
    things: tuple[Thing, ...]
    on: Thing | None = None
    stage: int = 0

    def stages(self, thing: Thing) -> tuple[Stage, ...]:
        """The stages through which the action takes a thing; () where it tightens nothing."""
        if self.verb != "tighten" or not isinstance(thing.entity, Fastener):
            return ()
        stages = thing.entity.tighten
        return (stages[self.stage - 1],) if 0 < self.stage <= len(stages) else stages


@dataclass(frozen=True, slots=True)
class StepView:
    """A step in its place in a procedure.

    ``common`` is the page of common steps that it comes from, "" for its own; ``line`` is where it
    stands on the procedure's page. ``hazards`` are the ids of all that it meets, ``called`` those
    that its own signal words do not show already.
    """

    number: int
    step: Step
    when: Condition
    common: str
    line: int
    actions: tuple[ActionView, ...]
    hazards: tuple[str, ...]
    called: tuple[BuiltinHazard | Hazard, ...]

    @property
    def signals(self) -> tuple[Signal, ...]:
        """The signal words that its writer put in it."""
        return self.step.signals


@dataclass(frozen=True, slots=True)
class MetHazard:
    """A hazard with the steps that call for it; no steps when the procedure declares it.

    ``when`` are the cars for which one of these steps is.
    """

    hazard: BuiltinHazard | Hazard
    steps: tuple[int, ...]
    when: Condition


def thing_named(name: str, scope: Scope) -> Thing:
    """Return what an id or words name."""
    entity = scope.get(name)
    if entity is None:
        return Thing(name, humanised(name).lower())
    return Thing(name, name_of(entity, scope), entity, getattr(entity, "when", ALWAYS))


def step_view(numbered: NumberedStep, plan: Plan) -> StepView:
    """Return a step of a plan."""
    step, through = numbered.step, numbered.through
    hazards = hazards_of_step(numbered, plan)
    own = {str(signal.hazard) for signal in step.signals}
    called = (hazard_named(name, plan.scope) for name in hazards if name not in own)
    return StepView(
        number=numbered.number,
        step=step,
        when=numbered.when,
        common=str(through.common) if through else "",
        line=(through or step).place.line,
        actions=tuple(_action(action, numbered.when, plan) for action in step.actions),
        hazards=tuple(hazards),
        called=tuple(hazard for hazard in called if hazard),
    )


@made_once
def steps_in(uses: Uses) -> tuple[StepView, ...]:
    """Return the steps that apply, in order."""
    return tuple(step_view(numbered, uses.plan) for numbered in uses.steps)


def _action(action: Action, when: Condition, plan: Plan) -> ActionView:
    named = [thing_named(str(name), plan.scope) for name in action.objects]
    things = tuple(each for thing in named for each in _in_turn(thing, action, when, plan))
    on = thing_named(str(action.on), plan.scope) if action.on else None
    return ActionView(str(action.verb), things, on, action.stage)


def _in_turn(thing: Thing, action: Action, when: Condition, plan: Plan) -> list[Thing]:
    """A thing as it is on the cars of a step: a group whose stages differ, once for each."""
    group = thing.entity
    if action.verb != "tighten" or not isinstance(group, Fastener) or not group.varies:
        return [thing]
    options = options_of(plan)
    found = [
        replace(thing, entity=each, when=each.when)
        for each in group.variants
        if possible(each.when & when, options) and action.stage <= len(each.tighten)
    ]
    return found or [thing]


def hazard_named(name: str, scope: Scope) -> BuiltinHazard | Hazard | None:
    """Return the built-in or declared hazard with this id."""
    return scope.of(Hazard, name) or BUILTIN_HAZARDS.get(name)


@made_once
def hazards_met(uses: Uses) -> tuple[MetHazard, ...]:
    """Return the hazards of the steps that apply, gravest signal word first."""
    plan = uses.plan
    steps: dict[str, list[NumberedStep]] = {}
    if isinstance(plan.head, Procedure):
        steps.update({str(name): [] for name in plan.head.hazards})
    for step in uses.steps:
        for name in hazards_of_step(step, plan):
            steps.setdefault(name, []).append(step)
    return tuple(sorted(_met(steps, plan.scope), key=lambda met: -SIGNAL_RANKS[met.hazard.signal]))


def _met(steps: dict[str, list[NumberedStep]], scope: Scope) -> Iterator[MetHazard]:
    for name, at in steps.items():
        hazard = hazard_named(name, scope)
        if hazard is not None:
            when = reduce(or_, (step.when for step in at)) if at else ALWAYS
            yield MetHazard(hazard, numbers_of(at), when)


def hazards_of_step(step: NumberedStep, plan: Plan) -> list[str]:
    """Return the ids of the hazards of a step, each once.

    They are those that it declares, those that it calls for, and those that the procedure meets
    and this step makes safe, makes live again or tests.
    """
    known = plan.hazards_by_step
    if step.number not in known:
        known[step.number] = _hazards_of(step, plan)
    return known[step.number]


def _hazards_of(step: NumberedStep, plan: Plan) -> list[str]:
    names = dict.fromkeys(str(name) for name in step.step.hazards)
    for action in step.step.actions:
        names.update(dict.fromkeys(called_by(action, plan.scope)))
        names.update(dict.fromkeys(closed_by(action, plan.scope, plan.hazards_called)))
    return list(names)
