"""Which steps do what to each object, and for which cars a thing is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import reduce, wraps
from operator import is_, or_
from typing import Any, Concatenate, ParamSpec, TypeVar

from procedures_lib.language.entities.work import Action
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Options, Space, possible
from procedures_lib.language.variants.shortest_condition import shortest_text
from procedures_lib.manual import NumberedStep, Plan

P = ParamSpec("P")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Use:
    """One action on one object, in one step."""

    step: NumberedStep
    action: Action

    @property
    def verb(self) -> str:
        """The verb of the action."""
        return str(self.action.verb)


@dataclass(frozen=True, slots=True)
class Uses:
    """The steps of a plan that apply to some cars, and what they do to each object."""

    plan: Plan
    when: Condition = ALWAYS
    steps: tuple[NumberedStep, ...] = ()
    by_object: dict[str, tuple[Use, ...]] = field(default_factory=dict)
    made: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def options(self) -> Options:
        """The options of the vehicle."""
        return options_of(self.plan)

    def of(self, name: str, *verbs: str) -> tuple[Use, ...]:
        """The uses of an object, with these verbs or with any."""
        uses = self.by_object.get(name, ())
        return tuple(use for use in uses if not verbs or use.verb in verbs)

    def condition(self, own: Condition, uses: Iterable[Use]) -> Condition:
        """For which cars a row about a thing is: those that have it, in steps that apply."""
        conditions = [use.step.when for use in uses]
        return own & reduce(or_, conditions) if conditions else own

    def applies(self, condition: Condition) -> bool:
        """Tell whether a thing with this condition is on some of the cars asked about."""
        return possible(condition & self.when, self.options)


def made_once(make: Callable[Concatenate[Uses, P], T]) -> Callable[Concatenate[Uses, P], T]:
    """Have a function keep what it makes of uses with them, for the page, its JSON and its CSV.

    Made anew when anything else that it is given is another object than the last time.
    """

    @wraps(make)
    def kept(uses: Uses, /, *given: P.args, **named: P.kwargs) -> T:
        last = uses.made.get(make.__name__)
        if last is None or not _same(last[0], given):
            last = uses.made[make.__name__] = (given, make(uses, *given, **named))
        made: T = last[1]
        return made

    return kept


def _same(last: tuple[object, ...], given: tuple[object, ...]) -> bool:
    return len(last) == len(given) and all(map(is_, last, given))


def options_of(plan: Plan) -> Options:
    """The options of a plan's vehicle, () when it has none."""
    return plan.vehicle.options if plan.vehicle else ()


def cars_of(plan: Plan) -> Condition:
    """Return the cars that a procedure is for: those that its kit fits and that have a step."""
    fits = plan.kit.fits.when if plan.kit else ALWAYS
    steps = [step.when for step in plan.steps]
    return fits if ALWAYS in steps or not steps else fits & reduce(or_, steps)


def uses_of(plan: Plan, when: Condition = ALWAYS) -> Uses:
    """Collect the uses of every object, for the cars that meet ``when``."""
    options = options_of(plan)
    steps = tuple(step for step in plan.steps if possible(step.when & when, options))
    found: dict[str, list[Use]] = defaultdict(list)
    for step in steps:
        for action in step.step.actions:
            for name in action.objects:
                found[str(name)].append(Use(step, action))
    by_object = {name: tuple(uses) for name, uses in found.items()}
    return Uses(plan, when, steps, by_object)


def numbers_of(steps: Iterable[NumberedStep]) -> tuple[int, ...]:
    """The numbers of steps, each once, in order."""
    return tuple(sorted({step.number for step in steps}))


def steps_of(uses: Iterable[Use]) -> tuple[int, ...]:
    """The numbers of the steps of some uses, each once, in order."""
    return numbers_of(use.step for use in uses)


@dataclass(frozen=True, slots=True)
class Choice:
    """An option of the car: ``chosen`` when only one of its ``values`` is left."""

    option: str
    values: tuple[str, ...]

    @property
    def chosen(self) -> str:
        """The one value that is left, "" while there are several."""
        return self.values[0] if len(self.values) == 1 else ""


def choices(plan: Plan, when: Condition) -> tuple[Choice, ...]:
    """Return the options of a plan's vehicle, with the values that the cars can have."""
    options = options_of(plan)
    found = []
    for option, values in options:
        tests = {value: Condition("test", option, (value,)) for value in values}
        left = tuple(value for value in values if possible(when & tests[value], options))
        found.append(Choice(option, left))
    return tuple(found)


class Cars:
    """The cars asked about; tells what still has to be said of a thing among them."""

    def __init__(self, plan: Plan, when: Condition) -> None:
        """Take the cars of a plan that meet ``when``."""
        self._space = Space(options_of(plan))
        self._asked = self._space.region(when)

    def only(self, when: Condition, among: Condition = ALWAYS) -> str:
        """Return the shortest words for a condition among the cars asked about.

        "" where all of them (that meet ``among``, too) meet it.
        """
        base = self._asked & self._space.region(among)
        return shortest_text(self._space.region(when).within(base)) if base else str(when)

    def open_options(self, conditions: Iterable[Condition]) -> set[str]:
        """Return the options on which a condition still depends among the cars asked about."""
        regions = (self._space.region(condition).within(self._asked) for condition in conditions)
        return {option for region in regions for option in region.support()}


def car_of(when: Condition, options: Options) -> Mapping[str, str]:
    """Return the first car that meets an expression: the first value of each option that can be."""
    car = {}
    for option, values in options:
        for value in values:
            narrowed = when & Condition("test", option, (value,))
            if possible(narrowed, options):
                when, car[option] = narrowed, value
                break
    return car
