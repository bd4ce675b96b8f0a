"""A reading judged: can it be read, is it what the stage asks for, with a tool that may be used."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.exports.records.saying import RecordFinding, warning
from procedures_lib.exports.records.tolerance import limits_of, reading_amount
from procedures_lib.findings import suggestion
from procedures_lib.quantities import QuantityError
from procedures_lib.tightening.settings import figures

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.exports.records.asked import Asked
    from procedures_lib.exports.records.record import Reading
    from procedures_lib.manual.shop import Shop
    from procedures_lib.quantities import Quantity
    from procedures_lib.tightening.wrench import Wrench


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
