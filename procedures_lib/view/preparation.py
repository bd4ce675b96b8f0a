"""Before the work: the car and the kit, parts, tools and supplies to lay out, time and hazards."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import reduce
from operator import or_
from typing import NamedTuple

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.language.entities.verbs import verbs_that
from procedures_lib.language.variants import ALWAYS, Condition, read_condition
from procedures_lib.language.variants.car_sets import Options, possible
from procedures_lib.manual import NumberedStep, Plan, Scope
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.manual.shop import Shop
from procedures_lib.view.joint import joint_tools
from procedures_lib.view.step import (
    MetHazard,
    MetRule,
    Thing,
    hazards_met,
    rules_met,
    step_view,
    thing_named,
)
from procedures_lib.view.uses import (
    Cars,
    Uses,
    cars_of,
    made_once,
    numbers_of,
    options_of,
    steps_of,
)

_OFF = verbs_that(lambda verb: verb.takes_off)
_ON = verbs_that(lambda verb: verb.puts_on)
_AWAY = verbs_that(lambda verb: verb.disposes)
_TURNING = verbs_that(lambda verb: verb.turns_out or verb.turns_in)


class Fate(StrEnum):
    """What becomes of a part, in the words of the parts list."""

    FROM_KIT = "From the kit"
    RETURNED = "Returned to the customer"
    NEW = "New every time, not in the kit"
    DISCARDED = "Discarded"
    USED_AGAIN = "Re-used"
    SUPPLY = "Supplies"


@dataclass(frozen=True, slots=True)
class ItemView:
    """A line of a kit's packing list: ``thing`` is what it brings, ``old`` what that replaces."""

    item: ContentItem
    thing: Thing
    old: Thing | None = None


@dataclass(frozen=True, slots=True)
class PartView:
    """A line of the parts list: ``item`` is the kit's line where the kit brings it.

    ``count`` is None of what is not counted, ``when`` the cars that it is for.
    """

    fate: Fate
    thing: Thing
    steps: tuple[int, ...]
    when: Condition = ALWAYS
    number: str = ""
    count: int | None = None
    item: ItemView | None = None

    @property
    def amount(self) -> Quantity | None:
        """The length, volume or mass of what the kit brings, where it is not counted."""
        return self.item.item.amount if self.item else None


@dataclass(frozen=True, slots=True)
class ToolView:
    """A tool with the joints it is for, (id, name), and the steps that take it.

    ``when`` is the shortest condition for its cars, ALWAYS for all of those asked about.
    """

    name: str
    joints: tuple[tuple[str, str], ...]
    steps: tuple[int, ...]
    when: Condition = ALWAYS


@dataclass(frozen=True, slots=True)
class ProtectionView:
    """What is worn, the steps before which it is put on, and their cars."""

    name: str
    steps: tuple[int, ...]
    when: Condition


@dataclass(frozen=True, slots=True)
class SupplyView:
    """What is used up in some steps, and whether the kit brings it; ``when`` the cars of these."""

    name: str
    in_kit: bool
    steps: tuple[int, ...]
    when: Condition


@dataclass(frozen=True, slots=True)
class PreparationView:
    """What a technician and a service manager need to know before the first step.

    ``seconds`` is the sum of the steps' times, ``timed`` how many of the ``steps`` say one;
    ``people`` the most that any step needs; ``check_in`` the kit's packing list for these cars.
    """

    plan: Plan
    people: int
    seconds: float
    timed: int
    steps: int
    check_in: tuple[ItemView, ...]
    tools: tuple[ToolView, ...]
    supplies: tuple[SupplyView, ...]
    hazards: tuple[MetHazard, ...]
    protection: tuple[ProtectionView, ...] = ()
    rules: tuple[MetRule, ...] = ()

    @property
    def untimed(self) -> int:
        """How many steps say no time."""
        return self.steps - self.timed

    @property
    def only(self) -> Condition:
        """The cars that the work is for."""
        return cars_of(self.plan)

    @property
    def options(self) -> Options:
        """The vehicle's options, each with its values on the cars that the work is for."""
        return tuple(
            (option, tuple(v for v in values if self._has(option, v)) or values)
            for option, values in options_of(self.plan)
        )

    def _has(self, option: str, value: str) -> bool:
        test = Condition("test", option, (value,))
        return possible(self.only & test, options_of(self.plan))

    @property
    def begins_with(self) -> tuple[str, ...]:
        """The states and procedures that the procedure begins with."""
        return tuple(map(str, self.plan.begins_with))

    @property
    def ends_with(self) -> tuple[str, ...]:
        """The states that the procedure leaves behind, and the procedures that go on there."""
        return tuple(map(str, self.plan.ends_with))


@made_once
def preparation(uses: Uses, shop: Shop) -> PreparationView:
    """Gather what is needed before the steps that apply."""
    steps = [numbered.step for numbered in uses.steps]
    times = [step.time.si for step in steps if step.time is not None]
    kit = uses.plan.kit
    return PreparationView(
        uses.plan,
        people=max((step.people for step in steps), default=1),
        seconds=sum(times),
        timed=len(times),
        steps=len(steps),
        check_in=tuple(i for i in packed(kit, uses.plan.scope) if uses.applies(i.item.when)),
        tools=tools(uses, shop),
        supplies=supplies(uses),
        hazards=hazards_met(uses),
        protection=protection(uses),
        rules=rules_met(uses),
    )


def packed(kit: Kit | None, scope: Scope) -> Iterator[ItemView]:
    """Yield the lines of a kit's packing list; none without a kit."""
    for item in kit.contents if kit else ():
        old = thing_named(str(item.replaces), scope) if item.replaces else None
        yield ItemView(item, _packed(item, scope), old)


def _packed(item: ContentItem, scope: Scope) -> Thing:
    if item.kind in {"supply", "paper", "tool"}:
        return Thing(item.what, item.name or item.what)
    entity = scope.get(item.what)
    name = item.name or (name_of(entity, scope) if entity else humanised(item.what))
    return Thing(item.what, name, entity)


@made_once
def parts(uses: Uses) -> tuple[PartView, ...]:
    """Return what comes from the kit, what becomes of the car's own parts, and the supplies."""
    return (*_from_kit(uses), *_from_car(uses), *_from_shelf(uses))


def _from_kit(uses: Uses) -> Iterator[PartView]:
    for view in packed(uses.plan.kit, uses.plan.scope):
        item = view.item
        if not uses.applies(item.when):
            continue
        steps = steps_of(uses.of(item.what, *_ON))
        if item.supply:
            steps = numbers_of(n for n in uses.steps if item.supply in n.step.supplies)
        count = None if item.amount else item.count
        yield PartView(Fate.FROM_KIT, view.thing, steps, item.when, item.number, count, view)


def _from_car(uses: Uses) -> Iterator[PartView]:
    kit = uses.plan.kit
    boxed = {item.what for item in kit.contents} if kit else set()
    for name in uses.by_object:
        entity = uses.plan.scope.get(name)
        if not isinstance(entity, Part | Fastener | Connection) or name in boxed:
            continue
        if isinstance(entity, Connection) and not uses.of(name, *_AWAY):
            continue
        fate = _fate(entity, uses)
        if fate and uses.applies(entity.when):
            used = uses.of(name, *_OFF, *_ON, *_AWAY)
            thing = Thing(name, name_of(entity, uses.plan.scope), entity)
            when = uses.condition(entity.when, used)
            yield PartView(fate, thing, steps_of(used), when, entity.number, entity.count)


def _fate(entity: Part | Fastener | Connection, uses: Uses) -> Fate | None:
    """What becomes of a thing that is on the car; None where nothing does."""
    name, kit = entity.id, uses.plan.kit
    if uses.of(name, "return") or (kit and name in map(str, kit.returns)):
        return Fate.RETURNED
    off, on = uses.of(name, *_OFF), uses.of(name, *_ON)
    if not isinstance(entity, Connection) and not entity.reusable and on:
        return Fate.NEW
    if uses.of(name, "discard"):
        return Fate.DISCARDED
    return Fate.USED_AGAIN if off and on else None


def _from_shelf(uses: Uses) -> Iterator[PartView]:
    for supply in supplies(uses):
        if not supply.in_kit:
            yield PartView(Fate.SUPPLY, Thing(supply.name, supply.name), supply.steps)


@made_once
def supplies(uses: Uses) -> tuple[SupplyView, ...]:
    """Return what the steps use up, each once, in the order of first use."""
    kit = uses.plan.kit
    boxed = {item.supply for item in kit.contents} if kit else set()
    named: dict[str, list[NumberedStep]] = {}
    for step in uses.steps:
        for supply in step.step.supplies:
            named.setdefault(supply, []).append(step)
    return tuple(
        SupplyView(name, name in boxed, numbers_of(at), reduce(or_, (step.when for step in at)))
        for name, at in named.items()
    )


@made_once
def protection(uses: Uses) -> tuple[ProtectionView, ...]:
    """Return what the hazards want worn, each once, in the order of the hazards."""
    worn: dict[str, list[MetHazard]] = {}
    for met in hazards_met(uses):
        for name in met.hazard.protection:
            worn.setdefault(name, []).append(met)
    return tuple(
        ProtectionView(
            name,
            tuple(sorted({step for met in at for step in met.steps})),
            reduce(or_, (met.when for met in at)),
        )
        for name, at in worn.items()
    )


@made_once
def tools(uses: Uses, shop: Shop) -> tuple[ToolView, ...]:
    """Return the tools of the steps that apply, each once, in the order of first use."""
    found: dict[str, _Taken] = {}
    known: dict[str, _Asked] = {}
    for step in uses.steps:
        for name in step_view(step, uses.plan, uses.when).tools:
            found.setdefault(name, _Taken({}, [], [])).add(step)
        for action in step.step.actions:
            if action.verb not in _TURNING:
                continue
            for name in map(str, action.objects):
                if name not in known:
                    known[name] = _asked(name, uses, shop)
                for tool in known[name].at(action.verb):
                    taken = found.setdefault(tool, _Taken({}, [], []))
                    taken.joints[name] = known[name].name
                    taken.add(step, known[name].cars[tool])
    cars, among = Cars(uses.plan, uses.when), cars_of(uses.plan)
    return tuple(
        ToolView(
            tool, tuple(taken.joints.items()), numbers_of(taken.steps), taken.only(cars, among)
        )
        for tool, taken in found.items()
    )


class _Taken(NamedTuple):
    """The joints that a tool is for, by id; the steps that take it, each with its cars."""

    joints: dict[str, str]
    steps: list[NumberedStep]
    cars: list[Condition]

    def add(self, step: NumberedStep, cars: Condition = ALWAYS) -> None:
        self.steps.append(step)
        self.cars.append(step.when & cars)

    def only(self, cars: Cars, among: Condition) -> Condition:
        when = reduce(or_, dict.fromkeys(self.cars))
        words = cars.only(when, among) if when != ALWAYS else ""
        return read_condition(words) if words else ALWAYS


class _Asked(NamedTuple):
    """The tools that a fastener asks for; the first of them, socket and reach, whatever is done.

    ``cars`` are those of which each tool is asked for.
    """

    name: str = ""
    every: tuple[str, ...] = ()
    plain: int = 0
    cars: Mapping[str, Condition] = {}

    def at(self, verb: str) -> tuple[str, ...]:
        return self.every if verb == "tighten" else self.every[: self.plain]


def _asked(name: str, uses: Uses, shop: Shop) -> _Asked:
    """The tools for a fastener on any of the cars asked about; none for any other thing."""
    fastener = uses.plan.scope.of(Fastener, name)
    if fastener is None or not uses.applies(fastener.when):
        return _Asked()
    here = [each for each in fastener.variants if uses.applies(each.when)] or [fastener]
    cars: dict[str, Condition] = {}
    asked = []
    for each in here:
        for tool in joint_tools(each, shop):
            asked.append(tool)
            own = fastener.when & each.when
            cars[tool.name] = cars.get(tool.name, own) | own
    asked.sort(key=lambda tool: bool(tool.stage))
    plain = len({tool.name for tool in asked if not tool.stage})
    every = tuple(dict.fromkeys(tool.name for tool in asked))
    return _Asked(name_of(fastener, uses.plan.scope), every, plain, cars)
