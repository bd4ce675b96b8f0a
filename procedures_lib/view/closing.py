"""After the work: the last checks, and what the customer gets."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from procedures_lib.language.entities.car import Connection
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import Condition
from procedures_lib.manual import NumberedStep
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.view.joint import JointView, joints
from procedures_lib.view.uses import Uses, made_once, numbers_of

_LEAKS = frozenset(
    {
        "fuel",
        "fuel-vapour",
        "coolant",
        "oil",
        "brake-fluid",
        "charge-air",
        "vacuum",
        "exhaust",
        "air",
        "hydraulic",
    }
)


@dataclass(frozen=True, slots=True)
class FinalTest:
    """A test, and the steps that make it; no step makes one that what was opened asks for."""

    what: str
    steps: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class ClosingView:
    """The last look over the car: joints that must be tight, tests, what is handed on open."""

    joints: tuple[JointView, ...]
    tests: tuple[FinalTest, ...]
    left_open: tuple[str, ...] = ()

    @property
    def rechecks(self) -> tuple[JointView, ...]:
        """The joints that ask for a second look."""
        return tuple(joint for joint in self.joints if joint.fastener.recheck)


@dataclass(frozen=True, slots=True)
class HandoverView:
    """What the customer must know and get.

    ``calibration`` pairs the value of an option ("" for every car) with a number, ``cars_of`` a
    value with the condition of its cars ("transmission=manual"); ``returned``
    are the names of what goes back; ``notes`` are the page's own words.
    """

    title: str
    kit: Kit | None
    calibration: tuple[tuple[str, str], ...]
    returned: tuple[str, ...]
    rechecks: tuple[JointView, ...]
    left_open: tuple[str, ...]
    notes: tuple[str, ...]
    cars_of: Mapping[str, str] = field(default_factory=dict)


@made_once
def closing(uses: Uses) -> ClosingView:
    """Gather the last checks of the steps that apply."""
    tests = (*_tests(uses), *_untested(uses))
    return ClosingView(joints(uses), tests, tuple(_left_open(uses)))


@made_once
def handover(uses: Uses) -> HandoverView:
    """Gather what the customer must know and get."""
    plan, kit = uses.plan, uses.plan.kit
    return HandoverView(
        plan.title,
        kit,
        calibration=tuple(
            (option, number)
            for option, number in (kit.needs.calibration if kit else ())
            if _has_value(option, uses)
        ),
        returned=tuple(_returned(uses)) if kit else (),
        rechecks=closing(uses).rechecks,
        left_open=closing(uses).left_open,
        notes=tuple(map(str, plan.head.handover)) if isinstance(plan.head, Procedure) else (),
        cars_of=dict(_cars_of_values(uses)),
    )


def _left_open(uses: Uses) -> Iterator[str]:
    """Yield what the procedure hands on open, in words."""
    scope = uses.plan.scope
    for word in map(str.strip, uses.plan.ends_with):
        entity = scope.get(word) or scope.get(word.removesuffix("-off"))
        yield name_of(entity, scope) if entity else humanised(word)


def _left_open_any(uses: Uses) -> bool:
    """Tell whether the car goes on to other work before it goes on the road."""
    return next(_left_open(uses), None) is not None


def _cars_of_values(uses: Uses) -> Iterator[tuple[str, str]]:
    """Yield each value that only one option has, with its condition."""
    pairs = [(str(value), str(option)) for option, values in uses.options for value in values]
    counts = Counter(value for value, _ in pairs)
    yield from ((value, f"{option}={value}") for value, option in pairs if counts[value] == 1)


def _has_value(value: str, uses: Uses) -> bool:
    """Tell whether some of the cars asked about has this value of its option."""
    options = [option for option, values in uses.options if value in values]
    return not options or any(
        uses.applies(Condition("test", option, (value,))) for option in options
    )


def _returned(uses: Uses) -> Iterator[str]:
    kit, scope = uses.plan.kit, uses.plan.scope
    names = [str(name) for name in kit.returns] if kit else []
    names += [name for name in uses.by_object if uses.of(name, "return")]
    for name in dict.fromkeys(names):
        entity = scope.get(name)
        yield name_of(entity, scope) if entity else humanised(name)


def _tests(uses: Uses) -> Iterator[FinalTest]:
    """Yield the tests that the steps make."""
    for what, steps in _tested(uses).items():
        yield FinalTest(humanised(what), numbers_of(steps))


def _tested(uses: Uses) -> dict[str, list[NumberedStep]]:
    found: dict[str, list[NumberedStep]] = {}
    for step in uses.steps:
        for action in step.step.actions:
            if action.verb == "test":
                found.setdefault(", ".join(action.objects), []).append(step)
    return found


def _untested(uses: Uses) -> Iterator[FinalTest]:
    """Yield the circuits that were opened and that no step tests for leaks, and the road."""
    words = [test.replace("-", " ") for test in _tested(uses)]
    for carried in _opened(uses):
        plain = carried.replace("-", " ")
        if not any("leak" in text and _names(text, plain) for text in words):
            yield FinalTest(f"Leaks {plain}")
    if uses.steps and not _left_open_any(uses) and not any(_names(t, "road") for t in words):
        yield FinalTest("Road")


def _names(text: str, what: str) -> bool:
    """Tell whether a test names what it is about; fuel vapour is not fuel."""
    return re.search(rf"\b{re.escape(what)}\b(?! vapour)", text) is not None


def _opened(uses: Uses) -> list[str]:
    """Return what runs in the lines that steps disconnect, of all that can leak."""
    found: dict[str, None] = {}
    for name in uses.by_object:
        connection = uses.plan.scope.of(Connection, name)
        if connection is not None and uses.of(name, "disconnect") and connection.carries in _LEAKS:
            found[str(connection.carries)] = None
    return list(found)
