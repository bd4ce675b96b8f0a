"""Torque stages that fall: a wrench set lower than the joint already is does not turn it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.findings import Level
from procedures_lib.tightening.stage import StageKind
from procedures_lib.tightening.verdict import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from procedures_lib.tightening.stage import Stage

_SETTING = {StageKind.HAND, StageKind.SNUG, StageKind.TORQUE}


def falling_stages(stages: Sequence[Stage]) -> Iterator[Fault]:
    """Find stages that ask for less torque than an earlier one, with nothing backed off between.

    ``hand`` and ``snug`` are less than any torque.
    """
    highest: tuple[int, Stage] | None = None
    for number, stage in enumerate(stages, start=1):
        if stage.kind is StageKind.BACK_OFF:
            highest = None
        if stage.kind not in _SETTING:
            continue
        if highest is not None and _high(stage) < _low(highest[1]):
            yield _fault(number, stage, *highest)
        elif stage.amount is not None and _rises(stage, highest):
            highest = number, stage


def _rises(stage: Stage, highest: tuple[int, Stage] | None) -> bool:
    return highest is None or _nominal(stage) >= _nominal(highest[1])


def _low(stage: Stage) -> float:
    return stage.amount.si_low if stage.amount else 0.0


def _high(stage: Stage) -> float:
    return stage.amount.si_high if stage.amount else 0.0


def _nominal(stage: Stage) -> float:
    return stage.amount.si if stage.amount else 0.0


def _fault(number: int, stage: Stage, earlier: int, higher: Stage) -> Fault:
    nothing = (
        "the wrench would click without turning anything"
        if stage.amount
        else "nothing turns by hand any more"
    )
    said = f"stage {number}, {stage.written()}, is below stage {earlier}, {higher.written()}"
    hint = "put the stages in rising order, or write `back off fully` or `back off 180°` between"
    return Fault("stage-falls", Level.ERROR, f"{said}: {nothing}", hint, number)
