"""Judges the stages of a joint by their order alone: do their torques rise?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.tightening.joint import Fault
from procedures_lib.engineering.tightening.stage import (
    LOOSENING,
    Course,
    Stage,
    StageKind,
    courses,
)
from procedures_lib.findings import Level

_SETTING = {StageKind.HAND, StageKind.SNUG, StageKind.TORQUE, StageKind.TORQUE_OR_SLOT}


def falling_stages(stages: Sequence[Stage]) -> Iterator[Fault]:
    """Find stages that ask for less torque than an earlier one, with nothing backed off between.

    ``hand`` and ``snug`` are less than any torque. Each fastener is judged by the stages that it
    goes through.
    """
    found = {fault for course in courses(stages) for fault in _falling(course)}
    return iter(sorted(found, key=lambda fault: (fault.stage, fault.message)))


def _falling(course: Course) -> Iterator[Fault]:
    highest: tuple[int, Stage, Quantity] | None = None
    for number, stage in course:
        if stage.kind in LOOSENING:
            highest = None
        if stage.kind not in _SETTING:
            continue
        amount = stage.amount
        if highest is not None and (amount.si_high if amount else 0.0) < highest[2].si_low:
            yield _falls(number, stage, *highest[:2])
        elif amount is not None and (highest is None or amount.si >= highest[2].si):
            highest = number, stage, amount


def _falls(number: int, stage: Stage, earlier: int, higher: Stage) -> Fault:
    nothing = (
        "the wrench would click without turning anything"
        if stage.amount
        else "nothing turns by hand any more"
    )
    said = f"stage {number}, {stage.written()}, is below stage {earlier}, {higher.written()}"
    hint = "put the stages in rising order, or write `back off fully` or `back off 180°` between"
    return Fault("stage-falls", Level.ERROR, f"{said}: {nothing}", hint, number)
