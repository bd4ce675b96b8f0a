"""A step as every front end shows it: what is done to which thing, and its hazards."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import reduce
from operator import or_

from procedures_lib.engineering.tightening import Stage
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import BuiltinHazard, Hazard
from procedures_lib.language.entities.work import Action, Procedure, Rule, Signal, Step
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Space, possible
from procedures_lib.manual import NumberedStep, Plan, Scope
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.manual.scope import called_by, closed_by, words_of
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
    """One action: ``on`` is what the things are put on; ``stage`` the one to do, 0 for all.

    ``to`` is what the things are adjusted to, "" where they say it themselves.
    """

    verb: str
    things: tuple[Thing, ...]
    on: Thing | None = None
    stage: int = 0
    to: str = ""

    def setting(self, thing: Thing) -> str:
        """What a thing is adjusted to: as the action says it, or the thing itself."""
        return self.to or str(getattr(thing.entity, "setting", ""))

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
    that its own signal words do not show already. Without ``tools`` and ``protection``, its own
    and those of its hazards, the work does not begin. ``rules`` are those about what it does.
    """

    number: int
    step: Step
    when: Condition
    common: str
    line: int
    actions: tuple[ActionView, ...]
    hazards: tuple[str, ...]
    called: tuple[BuiltinHazard | Hazard, ...]
    tools: tuple[str, ...] = ()
    protection: tuple[str, ...] = ()
    rules: tuple[Rule, ...] = ()

    @property
    def signals(self) -> tuple[Signal, ...]:
        """The signal words that its writer put in it."""
        return self.step.signals


@dataclass(frozen=True, slots=True)
class MetRule:
    """A rule with the steps that do what it is about, and their cars."""

    rule: Rule
    steps: tuple[int, ...]
    when: Condition


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


def step_view(numbered: NumberedStep, plan: Plan, asked: Condition = ALWAYS) -> StepView:
    """Return a step of a plan; ``asked`` are the cars asked about, whose hazards it has."""
    step, through = numbered.step, numbered.through
    names = hazards_at(numbered, plan, asked)
    hazards = [h for name in names if (h := hazard_named(name, plan.scope))]
    return StepView(
        number=numbered.number,
        step=step,
        when=numbered.when,
        common=str(through.common) if through else "",
        line=(through or step).place.line,
        actions=tuple(_action(action, numbered.when, plan) for action in step.actions),
        hazards=tuple(names),
        called=tuple(hazard for hazard in hazards if not _is_shown(hazard, numbered, plan)),
        tools=tuple(dict.fromkeys([*step.tools, *(t for h in hazards for t in h.tools)])),
        protection=tuple(dict.fromkeys(worn for h in hazards for worn in h.protection)),
        rules=tuple(rules_of_step(numbered, plan)),
    )


def rules_of_step(numbered: NumberedStep, plan: Plan) -> Iterator[Rule]:
    """Yield the rules that are about a hazard, a verb or a thing of a step, by their ids."""
    rules = plan.scope.all(Rule)
    if rules:
        words = set(hazards_at(numbered, plan))
        for action in numbered.step.actions:
            words.update(words_of(action, plan.scope))
        about = (rule for rule in rules if not words.isdisjoint(map(str, rule.about)))
        yield from sorted(about, key=lambda rule: rule.id)


@made_once
def rules_met(uses: Uses) -> tuple[MetRule, ...]:
    """Return the rules about the steps that apply, in the order of the first step."""
    found: dict[str, tuple[Rule, list[NumberedStep]]] = {}
    for step in uses.steps:
        for rule in rules_of_step(step, uses.plan):
            found.setdefault(rule.id, (rule, []))[1].append(step)
    return tuple(
        MetRule(rule, numbers_of(at), reduce(or_, (step.when for step in at)))
        for rule, at in found.values()
    )


def _is_shown(hazard: BuiltinHazard | Hazard, numbered: NumberedStep, plan: Plan) -> bool:
    """Tell whether the step's own signal words show a hazard, on all its cars."""
    own = [signal.when for signal in numbered.step.signals if str(signal.hazard) == hazard.id]
    if not own or ALWAYS in own:
        return bool(own)
    space = Space(options_of(plan))
    return not space.region(numbered.when & hazard.cars) - space.region(reduce(or_, own))


@made_once
def steps_in(uses: Uses) -> tuple[StepView, ...]:
    """Return the steps that apply, in order."""
    return tuple(step_view(numbered, uses.plan, uses.when) for numbered in uses.steps)


def _action(action: Action, when: Condition, plan: Plan) -> ActionView:
    named = [thing_named(str(name), plan.scope) for name in action.objects]
    things = tuple(each for thing in named for each in _in_turn(thing, action, when, plan))
    on = thing_named(str(action.on), plan.scope) if action.on else None
    return ActionView(str(action.verb), things, on, action.stage, action.to)


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
    return scope.hazard(name)


@made_once
def hazards_met(uses: Uses) -> tuple[MetHazard, ...]:
    """Return the hazards of the steps that apply, gravest signal word first."""
    plan = uses.plan
    steps: dict[str, list[NumberedStep]] = {}
    if isinstance(plan.head, Procedure):
        steps.update({str(name): [] for name in plan.head.hazards})
    for step in uses.steps:
        for name in hazards_at(step, plan, uses.when):
            steps.setdefault(name, []).append(step)
    return tuple(sorted(_met(steps, uses), key=lambda met: -SIGNAL_RANKS[met.hazard.signal]))


def _met(steps: dict[str, list[NumberedStep]], uses: Uses) -> Iterator[MetHazard]:
    for name, at in steps.items():
        hazard = hazard_named(name, uses.plan.scope)
        if hazard is not None and (hazard.cars == ALWAYS or uses.applies(hazard.cars)):
            when = reduce(or_, (step.when for step in at)) if at else ALWAYS
            yield MetHazard(hazard, numbers_of(at), when & hazard.cars)


def hazards_at(step: NumberedStep, plan: Plan, asked: Condition = ALWAYS) -> list[str]:
    """Return the ids of the hazards of a step, and of those that its signs show beside them.

    One that none of its cars has, among those asked about, is left out.
    """
    options = options_of(plan)
    signs = [
        str(signal.hazard)
        for signal in step.step.signals
        if signal.hazard
        and (signal.when == ALWAYS or possible(step.when & signal.when & asked, options))
    ]
    names = dict.fromkeys([*hazards_of_step(step, plan), *signs])
    return [
        name
        for name in names
        if not (hazard := hazard_named(name, plan.scope))
        or hazard.cars == ALWAYS
        or possible(step.when & hazard.cars & asked, options)
    ]


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
