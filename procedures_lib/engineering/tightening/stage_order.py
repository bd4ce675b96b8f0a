"""Judges the stages of a joint by their order alone: do their torques rise, can each be done?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

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
_TIGHTENING = {StageKind.TORQUE, StageKind.ANGLE, StageKind.STRETCH}


def falling_stages(stages: Sequence[Stage]) -> Iterator[Fault]:
    """Find stages that ask for less torque than an earlier one, with nothing backed off between.

    ``hand`` and ``snug`` are less than any torque. Backing off comes after tightening, ``fully``
    never last, and after the drag nothing tightens further. Each fastener is judged by the stages
    that it goes through. Common practice, no source, but for the slot: FAA AC 43.13-1B, 7-64 (a
    castle nut is turned on to its slot, never back, from memory).
    """
    judges = (_falling, _slots, _loosening, _past_drag)
    found = {fault for course in courses(stages) for judge in judges for fault in judge(course)}
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


def _slots(course: Course) -> Iterator[Fault]:
    """Find a slot's limit that the torque before it goes beyond."""
    for (before, torque), (number, stage) in pairwise(course):
        limit, amount = stage.amount, torque.amount
        if stage.kind is not StageKind.NEXT_SLOT or torque.kind is not StageKind.TORQUE:
            continue
        if limit and amount and limit.si_high < amount.si_low:
            said = f"stage {number}, {stage.written()}, ends below stage {before}"
            yield _fault(number, f"{said}, {torque.written()}, and a nut is never turned back",
                         "give a limit above that torque")  # fmt: skip


def _loosening(course: Course) -> Iterator[Fault]:
    """Find what is backed off before it is tight, and what ends loose."""
    first, last = course[0], course[-1]
    if first[1].kind in LOOSENING:
        yield _fault(first[0], f"stage {first[0]}, {first[1].written()}, is before any tightening",
                     "put it behind the stage that it takes back")  # fmt: skip
    if last[1].kind is StageKind.BACK_OFF and last[1].amount is None:
        yield _fault(last[0], f"stage {last[0]}, {last[1].written()}, leaves the joint loose",
                     "add the stage that comes after it, or take it out")  # fmt: skip


def _past_drag(course: Course) -> Iterator[Fault]:
    """Find what tightens further once the drag is right."""
    drag: int | None = None
    for number, stage in course:
        if stage.kind in LOOSENING:
            drag = None
        elif stage.kind is StageKind.DRAG:
            drag = number
        elif drag is not None and stage.kind in _TIGHTENING:
            yield _fault(number, f"stage {number}, {stage.written()}, tightens past the drag of"
                         f" stage {drag}: the bearing gets more preload than was measured",
                         "put the drag last, or `back off` between")  # fmt: skip


def _fault(number: int, message: str, hint: str) -> Fault:
    return Fault("stage-falls", Level.ERROR, message, hint, number)


def _falls(number: int, stage: Stage, earlier: int, higher: Stage) -> Fault:
    nothing = (
        "the wrench would click without turning anything"
        if stage.amount
        else "nothing turns by hand any more"
    )
    said = f"stage {number}, {stage.written()}, is below stage {earlier}, {higher.written()}"
    hint = "put the stages in rising order, or write `back off fully` or `back off 180°` between"
    return _fault(number, f"{said}: {nothing}", hint)
