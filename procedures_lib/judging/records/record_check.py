"""A record against its page: revision, car, steps, joints, readings with the tools used."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from procedures_lib.engineering.quantities import Quantity, QuantityError
from procedures_lib.engineering.quantities.conversion import figures
from procedures_lib.engineering.tightening.wrench import Wrench
from procedures_lib.findings import Level
from procedures_lib.judging.records.readings import (
    Asked,
    asked,
    limits_of,
    procedure_digest,
    reading_amount,
)
from procedures_lib.judging.records.record import (
    Reading,
    Record,
    RecordFinding,
    Remark,
    StageDone,
    member,
)
from procedures_lib.judging.records.remarks import check_remarks
from procedures_lib.judging.records.sheet import applies
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.folder import superseded_page
from procedures_lib.manual.shop import Shop
from procedures_lib.spelling import suggestion
from procedures_lib.view.uses import options_of


def check_record(record: Record, manual: Manual) -> list[RecordFinding]:
    """Return what is wrong with a record, in the order of the record.

    A record of another revision is not judged further: what it lacks may have been right then.
    Its remarks are what they are, of whatever revision.
    """
    return [*_work(record, manual), *check_remarks(record)]


def _work(record: Record, manual: Manual) -> list[RecordFinding]:
    head = manual.head(Procedure, record.procedure)
    if head is None:
        known = [each.id for each in manual.heads(Procedure)]
        message = f"there is no procedure `{record.procedure}`"
        hint = suggestion(record.procedure, known) or "this manual has no procedure"
        return [RecordFinding("$.procedure", "unknown-procedure", message, hint)]
    plan = manual.plan(head)
    if record.revision != head.revision:
        message = f"the record is of revision {record.revision}, the page is {head.revision}"
        page = superseded_page(record.procedure, record.revision)
        address = manual.shop.address.rstrip("/")
        page = f"{address}/{page}" if address else page
        hint = f"that revision's page is kept at {page}; nothing else was judged"
        return [RecordFinding("$.revision", "other-revision", message, hint)]
    return [
        *_page(record, plan),
        *_car(record.car, plan),
        *_steps(record, plan),
        *_readings(record, plan, manual.shop),
        *_remarked(record, plan),
    ]


def _page(record: Record, plan: Plan) -> Iterator[RecordFinding]:
    if record.digest != procedure_digest(plan):
        message = "a step was changed since, without a new revision"
        hint = "give the page a new revision; judge by hand what changed"
        yield RecordFinding("$.digest", "page-changed", message, hint, Level.WARNING)


def _car(car: Mapping[str, str], plan: Plan) -> Iterator[RecordFinding]:
    """Yield what is wrong with the options that a record states."""
    options = options_of(plan)
    known = dict(options)
    for option, value in car.items():
        path = member("$.car", option)
        if option not in known:
            hint = suggestion(option, known) or "leave it out: this car has no options"
            yield RecordFinding(path, "unknown-option", f"this car has no option `{option}`", hint)
        elif value not in known[option]:
            hint = suggestion(value, known[option])
            yield RecordFinding(path, "unknown-option", f"`{option}` is never `{value}`", hint)
    conditions = [*(step.when for step in plan.steps), *(each.when for each in asked(plan))]
    named = {option for condition in conditions for option in condition.options}
    for option, values in options:
        if option in named and option not in car:
            message = f"`{option}` is not stated: what depends on it is not asked for"
            hint = f"state it: {', '.join(values)}"
            yield RecordFinding("$.car", "car-not-stated", message, hint, Level.WARNING)


def _steps(record: Record, plan: Plan) -> Iterator[RecordFinding]:
    steps = {numbered.number: numbered for numbered in plan.steps}
    options = options_of(plan)
    ticked: set[int] = set()
    for done in record.steps:
        number = done.number
        if number not in steps:
            yield _no_step(f"{done.path}.number", number, plan)
        elif number in ticked:
            message, hint = f"step {number} stands twice", "leave one of them out"
            yield RecordFinding(done.path, "step-twice", message, hint, Level.WARNING)
        elif applies(steps[number].when, record.car, options) is False:
            message = f"step {number} is not for this car: only {steps[number].when}"
            hint = "are the options right?"
            yield RecordFinding(done.path, "not-this-car", message, hint, Level.WARNING)
        ticked.add(number)
    for number, numbered in steps.items():
        if number not in ticked and applies(numbered.when, record.car, options):
            message = f"step {number} is not ticked: {numbered.step.title}"
            yield RecordFinding("$.steps", "step-not-ticked", message, "do it, and tick it")


def _remarked(record: Record, plan: Plan) -> Iterator[RecordFinding]:
    """Yield the remarks and the ticked stages at steps that the page does not have."""
    at_steps: tuple[StageDone | Remark, ...] = (*record.stages, *record.remarks)
    for each in at_steps:
        if each.step > len(plan.steps):
            yield _no_step(f"{each.path}.step", each.step, plan)


def _no_step(path: str, number: int, plan: Plan) -> RecordFinding:
    message = f"there is no step {number}: the last is {len(plan.steps)}"
    hint = "look at the revision that it was done from, and correct the number"
    return RecordFinding(path, "unknown-step", message, hint)


def _readings(record: Record, plan: Plan, shop: Shop) -> Iterator[RecordFinding]:
    wanted = _wanted(record, plan)
    joints = {joint for _, joint, _ in wanted}
    seen: set[tuple[int, str, int]] = set()
    for reading in record.readings:
        key = (reading.step, reading.joint, reading.stage)
        where = f"`{reading.joint}`, stage {reading.stage}"
        if key not in wanted:
            message = f"step {reading.step} asks for no reading of {where}"
            name_it = "leave it out, or name the step, joint and stage as the page does"
            hint = suggestion(reading.joint, joints) or name_it
            yield RecordFinding(reading.path, "unknown-joint", message, hint)
            continue
        if key in seen:
            message = f"{where} in step {reading.step} stands twice"
            yield RecordFinding(reading.path, "read-twice", message, "leave the one that counts")
        seen.add(key)
        yield from _reading(reading, wanted[key], shop)
    options = options_of(plan)
    ticked = {(stage.step, stage.joint, stage.stage) for stage in record.stages}
    for key, each in wanted.items():
        if key not in seen and applies(each.when, record.car, options):
            only = "it was ticked, and no number typed" if key in ticked else "nothing was recorded"
            message, hint = f"{_what(each)}: {only}", _wish(each)
            yield RecordFinding("$.readings", "joint-not-recorded", message, hint)


def _wanted(record: Record, plan: Plan) -> dict[tuple[int, str, int], Asked]:
    """The readings that are asked for, of a joint whose stages differ those for the car."""
    options = options_of(plan)
    found: dict[tuple[int, str, int], Asked] = {}
    for each in asked(plan):
        other = found.get(each.key)
        if other is None or applies(other.when, record.car, options) is False:
            found[each.key] = each
    return found


def _what(wanted: Asked) -> str:
    return f"{wanted.name}, stage {wanted.stage} in step {wanted.step}"


def _wish(wanted: Asked) -> str:
    return f"the page asks for {wanted.what.shown()}"


def _reading(reading: Reading, wanted: Asked, shop: Shop) -> Iterator[RecordFinding]:
    """Yield what is wrong with a reading: its number, its tool, who took it and when."""
    wrench = next((each for each in shop.wrenches if each.id == reading.wrench), None)
    yield from _value(reading, wanted, wrench)
    yield from _tool(reading, wanted, shop)
    if not reading.initials:
        path, message = f"{reading.path}.initials", f"{_what(wanted)}: nobody signed"
        yield RecordFinding(path, "no-initials", message, "type who tightened it")
    if reading.at is None:
        path, message = f"{reading.path}.at", f"{_what(wanted)}: the time is missing"
        yield RecordFinding(path, "no-time", message, "type when it was tightened")


def _value(reading: Reading, wanted: Asked, wrench: Wrench | None) -> Iterator[RecordFinding]:
    path = f"{reading.path}.value"
    try:
        amount = reading_amount(reading.value, reading.unit, wanted.measure)
    except QuantityError as error:
        message = f"{_what(wanted)}: {error.message}"
        yield RecordFinding(path, "unreadable-value", message, error.hint)
        return
    limits = limits_of(wanted.what, wrench.deviation if wrench else None)
    if limits is None:
        return
    if not limits.hold(float(amount.exact_nominal(limits.unit))):
        message = f"{_what(wanted)}: {amount} was read, {_wish(wanted)}"
        hint = f"{limits.text()} would do ({limits.why}); tighten it again, or correct the reading"
        yield RecordFinding(path, "out-of-tolerance", message, hint)
    elif wrench is not None and wanted.measure == "torque" and not wanted.has_adapter:
        yield from _scale(reading, amount, wrench)


def _scale(reading: Reading, amount: Quantity, wrench: Wrench) -> Iterator[RecordFinding]:
    torque = float(amount.exact_nominal("N·m"))
    if not wrench.least * 0.999 <= torque <= wrench.most * 1.001:
        scale = f"{figures(wrench.least)} to {figures(wrench.most)} N·m"
        path, hint = f"{reading.path}.wrench", "was it another wrench?"
        message = f"{wrench.name} is marked {scale}, and {amount} was read on it"
        yield RecordFinding(path, "off-scale", message, hint, Level.WARNING)


def _tool(reading: Reading, wanted: Asked, shop: Shop) -> Iterator[RecordFinding]:
    """Yield what is wrong with the tool; an angle may be judged by eye, without any.

    What measures a stretch is no tool of the shop file.
    """
    path, tool = f"{reading.path}.wrench", reading.wrench
    due = {str(each.id): each.calibration_due for each in shop.torque_wrenches}
    if wanted.is_angle:
        due |= {str(each.id): each.check_due for each in shop.angle_gauges}
    last = due.get(tool)
    if not due or (not tool and wanted.is_angle) or wanted.measure == "length":
        return
    if not tool:
        message = f"{_what(wanted)}: no wrench is named"
        yield RecordFinding(path, "no-wrench-named", message, "type which wrench was used")
    elif tool not in due:
        message = f"the shop has no tool `{tool}` for this"
        yield RecordFinding(path, "unknown-wrench", message, suggestion(tool, due))
    elif last is not None and reading.at is not None and last < reading.at.date():
        message = f"`{tool}` was due on {last}, and used on {reading.at.date()}"
        hint = "have it calibrated, and check what it tightened since"
        yield RecordFinding(path, "wrench-out-of-date", message, hint)
