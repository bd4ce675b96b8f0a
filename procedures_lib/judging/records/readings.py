"""The readings that a procedure asks for, how far each may be off, hashes of what is followed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass

from procedures_lib.engineering.quantities import (
    Quantity,
    QuantityError,
    read_quantity,
)
from procedures_lib.engineering.quantities.conversion import TORQUE_UNITS, in_unit
from procedures_lib.engineering.quantities.quantity import with_symbol
from procedures_lib.engineering.quantities.units import factor_between
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.field_types import kebab
from procedures_lib.language.variants import Condition
from procedures_lib.language.variants.car_sets import possible
from procedures_lib.manual import NumberedStep, Plan
from procedures_lib.manual.names import name_of
from procedures_lib.view.uses import options_of

_READ = frozenset(
    {StageKind.TORQUE, StageKind.ANGLE, StageKind.STRETCH, StageKind.NEXT_SLOT,
     StageKind.TORQUE_OR_SLOT, StageKind.DRAG}
)  # fmt: skip
"""Stages with something to read: not those by hand or in words, and not backing off."""

UNITS = {"torque": TORQUE_UNITS, "angle": ("°",), "length": ("mm", "in")}
"""The units that a reading may be typed in, by what is read; the first is that of its limits."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One reading: ``stage`` of ``joint``, counted from 1, for the whole group of fasteners.

    ``when`` are the cars on which the joint is tightened in this step. With an adapter the
    wrench does not show the joint's torque.
    """

    step: int
    joint: str
    name: str
    count: int
    stage: int
    what: Stage
    when: Condition
    has_adapter: bool = False

    @property
    def key(self) -> tuple[int, str, int]:
        """What tells it from the other readings of a procedure."""
        return self.step, self.joint, self.stage

    @property
    def measure(self) -> str:
        """What is read: a ``torque``, an ``angle``, or the ``length`` of a stretch."""
        return _measure(self.what)

    @property
    def is_angle(self) -> bool:
        """Whether degrees are read, and not a torque."""
        return self.measure == "angle"


def _measure(stage: Stage) -> str:
    return stage.amount.kind if stage.amount else "torque"


def asked(plan: Plan) -> tuple[Asked, ...]:
    """Return all readings of a procedure, in the order of its steps, each once."""
    return tuple(each for numbered in plan.steps for each in asked_at(numbered, plan))


def asked_at(numbered: NumberedStep, plan: Plan) -> tuple[Asked, ...]:
    """Return the readings of one step, each once."""
    found: dict[tuple[tuple[int, str, int], Condition], Asked] = {}
    for joint, only in _tightened(numbered, plan):
        name, when = name_of(joint, plan.scope), numbered.when & joint.when
        for n, stage in enumerate(joint.tighten, start=1):
            if stage.kind in _READ and only in (0, n) and possible(when, options_of(plan)):
                each = Asked(numbered.number, joint.id, name, joint.count, n, stage, when,
                             has_adapter=joint.adapter is not None)  # fmt: skip
                found.setdefault((each.key, when), each)
    return tuple(found.values())


def _tightened(numbered: NumberedStep, plan: Plan) -> Iterator[tuple[Fastener, int]]:
    """Yield the joints that a step tightens, each with the one stage it asks for, 0 for all.

    A joint whose stages differ from car to car comes once for each.
    """
    for action in numbered.step.actions:
        for name in action.objects if action.verb == "tighten" else ():
            joint = plan.scope.of(Fastener, str(name))
            for each in joint.variants if joint else ():
                yield each, action.stage


def step_keys(plan: Plan) -> tuple[str, ...]:
    """Return a name for each step that outlives renumbering: its id, else its title as a slug.

    A name that comes again gets a number, ``raise-the-car-2``.
    """
    seen: dict[str, int] = {}
    keys = []
    for numbered in plan.steps:
        step = numbered.step
        name = step.id or kebab(step.title) or "step"
        seen[name] = seen.get(name, 0) + 1
        keys.append(name if seen[name] == 1 else f"{name}-{seen[name]}")
    return tuple(keys)


def step_digest(numbered: NumberedStep, plan: Plan) -> str:
    """Return 8 hex digits that change when what a step says or asks for does.

    That is its title, cars, actions, tools, supplies, people, time, hazards and prose, and the
    stages of the joints that it tightens; not its number, and not where it is written.
    """
    step = numbered.step
    said = (
        step.title,
        str(numbered.when),
        [str(action) for action in step.actions],
        step.tools,
        step.supplies,
        step.people,
        step.time.tidy if step.time else "",
        [str(name) for name in step.hazards],
        step.block.body.strip(),
        _joints(numbered, plan),
    )
    return _hash(repr(said), 4)


def procedure_digest(plan: Plan) -> str:
    """Return 16 hex digits that change when any step does, or their order."""
    steps = [step_digest(numbered, plan) for numbered in plan.steps]
    return _hash(f"{plan.head.id} {' '.join(steps)}", 8)


def _joints(numbered: NumberedStep, plan: Plan) -> list[tuple[str, ...]]:
    return [
        (joint.id, str(joint.count), str(joint.when), *(s.written() for s in joint.tighten))
        for joint, _ in _tightened(numbered, plan)
    ]


def _hash(text: str, size: int) -> str:
    return hashlib.blake2b(text.encode(), digest_size=size).hexdigest()


WIDEST_CLASS = 0.06
"""The deviation of a wrench whose class is not known: the widest of ISO 6789-1:2017, table 2."""

ANGLE_EITHER_WAY = 5.0
"""Degrees by which an angle without a tolerance may be off (common practice, no source)."""

STRETCH_EITHER_WAY = 0.01
"""Millimetres by which a stretch without a tolerance may be off: what a dial gauge reads to
(common practice, no source)."""

_EITHER_WAY = {"°": ANGLE_EITHER_WAY, "mm": STRETCH_EITHER_WAY}

_EXACT = 1e-9


@dataclass(frozen=True, slots=True)
class Limits:
    """The band that a reading has to lie in, in ``unit``, and where it comes from."""

    low: float
    high: float
    unit: str
    why: str

    def hold(self, value: float) -> bool:
        """Tell whether a reading, in the unit of the limits, lies in the band."""
        slack = _EXACT * max(abs(self.low), abs(self.high))
        return self.low - slack <= value <= self.high + slack

    def text(self) -> str:
        """The band in words: ``9.6–10.4 N·m``."""
        space = "" if self.unit == "°" else "\N{NO-BREAK SPACE}"
        if self.low <= 0:
            return f"at most {self.high:.4g}{space}{self.unit}"
        return f"{self.low:.4g}–{self.high:.4g}{space}{self.unit}"


def limits_of(stage: Stage, deviation: float | None = None) -> Limits | None:
    """Return the limits of a stage in N·m, degrees or mm; None where nothing is read.

    A tolerance or range that the page states counts; without one, ``deviation`` of the wrench as a
    share of the torque (0.04 is ±4 %, ISO 6789-1:2017), or the widest class where it is not known.
    """
    if stage.amount is None:
        return None
    unit = UNITS[_measure(stage)][0]
    low, high = map(float, stage.amount.exact(unit))
    if stage.kind is StageKind.NEXT_SLOT:
        return Limits(0.0, high, unit, "the page says at most")
    if stage.amount.is_range:
        return Limits(low, high, unit, "the page's own tolerance")
    if unit in _EITHER_WAY:
        off = _EITHER_WAY[unit]
        why = f"±{with_symbol(f'{off:g}', unit)}, where the page states no tolerance"
        return Limits(low - off, high + off, unit, why)
    share = WIDEST_CLASS if deviation is None else deviation
    whose = "the widest class of wrench" if deviation is None else "the class of the wrench"
    why = f"±{100 * share:g} %, {whose}"
    return Limits(low * (1 - share), high * (1 + share), unit, why)


def reading_amount(value: str, unit: str, measure: str = "torque") -> Quantity:
    """Return a reading as a quantity; a decimal comma is read too, ``QuantityError`` else."""
    number = value.strip()
    if number.count(",") == 1 and "." not in number:
        number = number.replace(",", ".")
    if not unit.strip():
        unit = "°" if measure == "angle" else ""
    found = read_quantity(f"{number} {unit}", measure)
    if found.is_range:
        raise QuantityError("not-a-number", f"`{value}` is not one number", "write what was read")
    return found


def in_units(limits: Limits) -> dict[str, tuple[float, float]]:
    """Return the limits in each unit that a reading may be typed in, for a page to compare with."""
    if limits.unit == "°":
        return {"°": (limits.low, limits.high)}
    if limits.unit == "mm":
        share = factor_between("mm", "in")
        return {"mm": (round(limits.low, 4), round(limits.high, 4)),
                "in": (round(limits.low * share, 5), round(limits.high * share, 5))}  # fmt: skip
    return {
        unit: (round(in_unit(limits.low, unit), 4), round(in_unit(limits.high, unit), 4))
        for unit in TORQUE_UNITS
    }
