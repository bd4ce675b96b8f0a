"""A record against its page: revision, car, steps, joints, readings with the tools used."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from procedures_lib.engineering.quantities import Quantity, QuantityError
from procedures_lib.engineering.tightening.wrench import Wrench
from procedures_lib.engineering.tightening.wrench_choice import figures
from procedures_lib.findings import suggestion
from procedures_lib.judging.records.readings import (
    Asked,
    asked,
    limits_of,
    procedure_digest,
    reading_amount,
)
from procedures_lib.judging.records.record import Reading, Record, RecordFinding, member, warning
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Options, possible
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.shop import Shop
from procedures_lib.view.uses import options_of


def applies(condition: Condition, car: Mapping[str, str], options: Options) -> bool | None:
    """Tell whether a condition holds on a car; None where an option that it needs is not stated."""
    chosen = ALWAYS
    for option, values in options:
        if car.get(option) in values:
            chosen &= Condition("test", option, (car[option],))
    if not possible(condition & chosen, options):
        return False
    return None if possible(Condition("not", parts=(condition,)) & chosen, options) else True


def check_car(
    car: Mapping[str, str], options: Options, conditions: Iterable[Condition]
) -> Iterator[RecordFinding]:
    """Yield what is wrong with the options that a record states."""
    known = dict(options)
    for option, value in car.items():
        path = member("$.car", option)
        if option not in known:
            yield RecordFinding(
                path,
                "unknown-option",
                f"this car has no option `{option}`",
                suggestion(option, known) or "leave it out: this car has no options",
            )
        elif value not in known[option]:
            yield RecordFinding(
                path,
                "unknown-option",
                f"`{option}` is never `{value}`",
                suggestion(value, known[option]),
            )
    named = {option for condition in conditions for option in condition.options}
    for option, values in options:
        if option in named and option not in car:
            yield warning(
                "$.car",
                "car-not-stated",
                f"`{option}` is not stated: what depends on it is not asked for",
                f"state it: {', '.join(values)}",
            )


def judge_reading(reading: Reading, wanted: Asked, shop: Shop) -> Iterator[RecordFinding]:
    """Yield what is wrong with a reading: its number, its tool, who took it and when."""
    wrench = next((each for each in shop.wrenches if each.id == reading.wrench), None)
    yield from _judge_value(reading, wanted, wrench)
    yield from _judge_tool(reading, wanted, shop)
    if not reading.initials:
        yield RecordFinding(
            f"{reading.path}.initials",
            "no-initials",
            f"{_what(wanted)}: nobody signed",
            "type who tightened it",
        )
    if reading.at is None:
        yield RecordFinding(
            f"{reading.path}.at",
            "no-time",
            f"{_what(wanted)}: the time is missing",
            "type when it was tightened",
        )


def _what(wanted: Asked) -> str:
    return f"{wanted.name}, stage {wanted.stage} in step {wanted.step}"


def _judge_value(reading: Reading, wanted: Asked, wrench: Wrench | None) -> Iterator[RecordFinding]:
    path = f"{reading.path}.value"
    try:
        amount = reading_amount(reading.value, reading.unit, angle=wanted.is_angle)
    except QuantityError as error:
        yield RecordFinding(
            path, "unreadable-value", f"{_what(wanted)}: {error.message}", error.hint
        )
        return
    limits = limits_of(wanted.what, wrench.deviation if wrench else None)
    if limits is None:
        return
    if not limits.hold(float(amount.exact_nominal(limits.unit))):
        yield RecordFinding(
            path,
            "out-of-tolerance",
            f"{_what(wanted)}: {amount} was read, the page asks for {wanted.what.shown()}",
            f"{limits.text()} would do ({limits.why}); tighten it again, or correct the reading",
        )
    elif wrench is not None and not wanted.is_angle and not wanted.has_adapter:
        yield from _judge_scale(reading, amount, wrench)


def _judge_scale(reading: Reading, amount: Quantity, wrench: Wrench) -> Iterator[RecordFinding]:
    torque = float(amount.exact_nominal("N·m"))
    if not wrench.least * 0.999 <= torque <= wrench.most * 1.001:
        scale = f"{figures(wrench.least)} to {figures(wrench.most)} N·m"
        yield warning(
            f"{reading.path}.wrench",
            "off-scale",
            f"{wrench.name} is marked {scale}, and {amount} was read on it",
            "was it another wrench?",
        )


def _judge_tool(reading: Reading, wanted: Asked, shop: Shop) -> Iterator[RecordFinding]:
    path = f"{reading.path}.wrench"
    due = {str(each.id): each.calibration_due for each in shop.torque_wrenches}
    if wanted.is_angle:
        due |= {str(each.id): each.check_due for each in shop.angle_gauges}
    if not reading.wrench:
        if due and not wanted.is_angle:
            yield RecordFinding(
                path,
                "no-wrench-named",
                f"{_what(wanted)}: no wrench is named",
                "type which wrench was used",
            )
        return
    if reading.wrench not in due:
        if due:
            yield RecordFinding(
                path,
                "unknown-wrench",
                f"the shop has no tool `{reading.wrench}` for this",
                suggestion(reading.wrench, due),
            )
        return
    last = due[reading.wrench]
    if last is not None and reading.at is not None and last < reading.at.date():
        yield RecordFinding(
            path,
            "wrench-out-of-date",
            f"`{reading.wrench}` was due on {last}, and used on {reading.at.date()}",
            "have it calibrated, and check what it tightened since",
        )


def check_record(record: Record, manual: Manual) -> list[RecordFinding]:
    """Return what is wrong with a record, in the order of the record.

    A record of another revision is not judged further: what it lacks may have been right then.
    """
    head = manual.head(Procedure, record.procedure)
    if head is None:
        known = [each.id for each in manual.heads(Procedure)]
        message = f"there is no procedure `{record.procedure}`"
        hint = suggestion(record.procedure, known) or "this manual has no procedure"
        return [RecordFinding("$.procedure", "unknown-procedure", message, hint)]
    plan = manual.plan(head)
    if record.revision != head.revision:
        message = f"the record is of revision {record.revision}, the page is {head.revision}"
        hint = "check it against the manual of that day; nothing else was judged"
        return [RecordFinding("$.revision", "other-revision", message, hint)]
    return [
        *_page(record, plan),
        *check_car(record.car, options_of(plan), _conditions(plan)),
        *_steps(record, plan),
        *_readings(record, plan, manual),
    ]


def _conditions(plan: Plan) -> list[Condition]:
    return [*(step.when for step in plan.steps), *(each.when for each in asked(plan))]


def _page(record: Record, plan: Plan) -> Iterator[RecordFinding]:
    if record.digest != procedure_digest(plan):
        yield warning(
            "$.digest",
            "page-changed",
            "a step was changed since, without a new revision",
            "give the page a new revision; judge by hand what changed",
        )


def _steps(record: Record, plan: Plan) -> Iterator[RecordFinding]:
    steps = {numbered.number: numbered for numbered in plan.steps}
    ticked: set[int] = set()
    options = options_of(plan)
    for done in record.steps:
        if done.number not in steps:
            yield RecordFinding(
                f"{done.path}.number",
                "unknown-step",
                f"there is no step {done.number}: the last is {len(steps)}",
                "look at the revision that it was done from, and correct the number",
            )
        elif done.number in ticked:
            yield warning(
                done.path, "step-twice", f"step {done.number} stands twice", "leave one of them out"
            )
        elif applies(steps[done.number].when, record.car, options) is False:
            yield warning(
                done.path,
                "not-this-car",
                f"step {done.number} is not for this car: only {steps[done.number].when}",
                "are the options right?",
            )
        ticked.add(done.number)
    for number, numbered in steps.items():
        if number not in ticked and applies(numbered.when, record.car, options):
            yield RecordFinding(
                "$.steps",
                "step-not-ticked",
                f"step {number} is not ticked: {numbered.step.title}",
                "do it, and tick it",
            )


def _readings(record: Record, plan: Plan, manual: Manual) -> Iterator[RecordFinding]:
    wanted = {each.key: each for each in asked(plan)}
    seen: set[tuple[int, str, int]] = set()
    for reading in record.readings:
        key = (reading.step, reading.joint, reading.stage)
        if key not in wanted:
            yield RecordFinding(
                reading.path,
                "unknown-joint",
                f"step {reading.step} asks for no reading of "
                f"`{reading.joint}`, stage {reading.stage}",
                suggestion(reading.joint, {name for _, name, _ in wanted})
                or "leave it out, or name the step, joint and stage as the page does",
            )
            continue
        if key in seen:
            yield RecordFinding(
                reading.path,
                "read-twice",
                f"`{reading.joint}`, stage {reading.stage} in step {reading.step} stands twice",
                "leave the one that counts",
            )
        seen.add(key)
        yield from judge_reading(reading, wanted[key], manual.shop)
    options = options_of(plan)
    for key, each in wanted.items():
        if key not in seen and applies(each.when, record.car, options):
            yield RecordFinding(
                "$.readings",
                "joint-not-recorded",
                f"{each.name}, stage {each.stage} in step {each.step}: nothing was recorded",
                f"the page asks for {each.what.shown()}",
            )
