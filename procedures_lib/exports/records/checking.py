"""A record against its page: revision, car, steps, joints, readings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.work import Procedure
from procedures_lib.exports.records.asked import asked
from procedures_lib.exports.records.cars import applies, check_car
from procedures_lib.exports.records.followed import procedure_digest
from procedures_lib.exports.records.judging import judge_reading
from procedures_lib.exports.records.saying import RecordFinding, warning
from procedures_lib.findings import suggestion
from procedures_lib.tables.uses import options_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.exports.records.record import Record
    from procedures_lib.manual import Manual, Plan
    from procedures_lib.variants import Condition


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
