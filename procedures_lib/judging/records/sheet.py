"""The sheet of a procedure as it is on a day: what a record of that day is read beside, later."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from pydantic import TypeAdapter, ValidationError

from procedures_lib.engineering.quantities.conversion import figures
from procedures_lib.judging.records.readings import (
    Asked,
    asked,
    limits_of,
    procedure_digest,
    step_digest,
    step_keys,
)
from procedures_lib.language.variants import ALWAYS, Condition, read_condition
from procedures_lib.language.variants.car_sets import Options, possible
from procedures_lib.language.variants.condition import ConditionError
from procedures_lib.manual import NumberedStep, Plan
from procedures_lib.view.uses import options_of

FORMAT = 1


@dataclass(frozen=True, slots=True)
class SheetStep:
    """A step: ``key`` outlives renumbering, ``digest`` changes with what it says.

    ``minutes`` are those that the page plans, None where it plans none; ``when`` are the cars.
    """

    number: int
    key: str
    digest: str
    title: str
    when: str = ""
    minutes: float | None = None
    actions: tuple[str, ...] = ()
    text: str = ""


@dataclass(frozen=True, slots=True)
class SheetReading:
    """One reading that the page asks for: ``wanted`` in words, the rest in ``unit``.

    ``low`` and ``high`` are the limits; where ``own`` is false they are those of the widest class
    of wrench. ``nominal`` is the middle of what is wanted, ``order`` how the group is gone round.
    """

    step: int
    joint: str
    name: str
    stage: int
    wanted: str
    unit: str
    nominal: float
    low: float
    high: float
    own: bool
    when: str = ""
    count: int = 1
    order: str = ""

    @property
    def key(self) -> tuple[int, str, int]:
        """What tells it from the other readings of a sheet."""
        return self.step, self.joint, self.stage


@dataclass(frozen=True, slots=True)
class SheetItem:
    """One line of the kit's packing list."""

    what: str
    name: str
    number: str = ""
    packed: str = "1"


@dataclass(frozen=True)
class Sheet:
    """A procedure in one revision: its steps, the readings it asks for, what was in the box.

    ``digest`` is the one that records of it have.
    """

    procedure: str
    title: str
    revision: str
    digest: str
    vehicle: str = ""
    kit: str = ""
    options: tuple[tuple[str, tuple[str, ...]], ...] = ()
    steps: tuple[SheetStep, ...] = ()
    readings: tuple[SheetReading, ...] = ()
    items: tuple[SheetItem, ...] = ()
    format: int = FORMAT

    @cached_property
    def step_by_number(self) -> Mapping[int, SheetStep]:
        """The steps by their number."""
        return {step.number: step for step in self.steps}

    @cached_property
    def conditions(self) -> Mapping[str, Condition]:
        """Each condition of the sheet, read; one that can't be read any more holds always."""
        texts = {step.when for step in self.steps} | {each.when for each in self.readings}
        return {text: _condition(text) for text in texts}

    def is_for(self, when: str, car: Mapping[str, str]) -> bool | None:
        """Tell whether a condition holds on a car; None where an option of it is not stated."""
        condition, named = self._tests[when]
        stated = when, *(car.get(option) for option in named)
        if stated not in self._verdicts:
            self._verdicts[stated] = applies(condition, car, self.options)
        return self._verdicts[stated]

    @cached_property
    def _tests(self) -> Mapping[str, tuple[Condition, tuple[str, ...]]]:
        """Each condition with the options that it names."""
        return {when: (each, tuple(sorted(each.options))) for when, each in self.conditions.items()}

    @cached_property
    def _verdicts(self) -> dict[tuple[str | None, ...], bool | None]:
        """Whether a condition holds, by its text and the values of its options."""
        return {}


def applies(condition: Condition, car: Mapping[str, str], options: Options) -> bool | None:
    """Tell whether a condition holds on a car; None where an option that it needs is not stated."""
    chosen = ALWAYS
    named = condition.options
    for option, values in options:
        if option in named and car.get(option) in values:
            chosen &= Condition("test", option, (car[option],))
    if not possible(condition & chosen, options):
        return False
    return None if possible(Condition("not", parts=(condition,)) & chosen, options) else True


def _condition(text: str) -> Condition:
    try:
        return read_condition(text) if text else ALWAYS
    except ConditionError:
        return ALWAYS


def sheet_of(plan: Plan, revision: str) -> Sheet:
    """Return the sheet of a planned procedure."""
    keys = step_keys(plan)
    kit = plan.kit
    return Sheet(
        procedure=str(plan.head.id),
        title=plan.title,
        revision=revision,
        digest=procedure_digest(plan),
        vehicle=str(plan.vehicle.id) if plan.vehicle else "",
        kit=str(kit.id) if kit else "",
        options=tuple((str(o), tuple(map(str, values))) for o, values in options_of(plan)),
        steps=tuple(_step(each, key, plan) for each, key in zip(plan.steps, keys, strict=True)),
        readings=tuple(r for each in asked(plan) if (r := _reading(each, plan))),
        items=tuple(
            SheetItem(item.what, item.name, item.number, item.packed)
            for item in (kit.contents if kit else ())
        ),
    )


def _step(numbered: NumberedStep, key: str, plan: Plan) -> SheetStep:
    step = numbered.step
    minutes = float(step.time.exact_nominal("min")) if step.time else None
    return SheetStep(
        number=numbered.number,
        key=key,
        digest=step_digest(numbered, plan),
        title=step.title,
        when=str(numbered.when),
        minutes=minutes,
        actions=tuple(map(str, step.actions)),
        text=step.block.body.strip(),
    )


def _reading(each: Asked, plan: Plan) -> SheetReading | None:
    limits = limits_of(each.what)
    if limits is None or each.what.amount is None:
        return None
    middle = float(each.what.amount.exact_nominal(limits.unit))
    return SheetReading(
        step=each.step,
        joint=each.joint,
        name=each.name,
        stage=each.stage,
        wanted=each.what.shown(),
        unit=limits.unit,
        nominal=middle,
        low=limits.low,
        high=limits.high,
        own=each.what.amount.is_range or limits.low <= 0,
        when=str(each.when),
        count=each.count,
        order=_order(each, plan),
    )


def _order(each: Asked, plan: Plan) -> str:
    entity = plan.scope.get(each.joint)
    order = each.what.order or getattr(entity, "order", ()) or ()
    return ", ".join(map(str, order)) if not isinstance(order, str) else order


_SHEET = TypeAdapter(Sheet)


def sheet_json(sheet: Sheet) -> bytes:
    """Return a sheet as JSON in UTF-8."""
    return _SHEET.dump_json(sheet, indent=1) + b"\n"


def read_sheet(raw: bytes) -> Sheet | None:
    """Return the sheet in a file; None where that is none of this format."""
    try:
        sheet = _SHEET.validate_json(raw)
    except ValidationError:
        return None
    return sheet if sheet.format == FORMAT else None


def band_text(reading: SheetReading) -> str:
    """Return the limits of a reading in words."""
    space = "" if reading.unit == "°" else " "
    if reading.low <= 0:
        return f"at most {figures(reading.high)}{space}{reading.unit}"
    return f"{figures(reading.low)}–{figures(reading.high)}{space}{reading.unit}"
