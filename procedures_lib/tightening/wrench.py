"""Torque wrenches as plain values: what one is, what a stage asks of it, and what comes of that."""

from __future__ import annotations

import datetime
import enum
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from procedures_lib.tightening.deviation import permissible_deviation
from procedures_lib.tightening.stage import Stage, StageKind

if TYPE_CHECKING:
    from procedures_lib.quantities import Quantity
    from procedures_lib.tightening.adapter import Adapter


@dataclass(frozen=True, slots=True)
class Wrench:
    """A torque wrench: the marked ends of its scale in N·m (ISO 6789-1:2017, 5.1.3).

    ``shows`` tells one that shows the torque (type I) from one that is set (type II). ``length``
    is from its square to the middle of its grip, in mm. ``due`` is the last day of use before the
    next calibration.
    """

    id: str
    name: str
    least: float
    most: float
    deviation_class: str = ""
    shows: bool = False
    drive: str = ""
    length: float | None = None
    due: datetime.date | None = None

    @property
    def deviation(self) -> float | None:
        """How far it may be off, as a share; None when its class is not stated."""
        return permissible_deviation(self.deviation_class, self.most)

    def with_length(self, length: float) -> Wrench:
        """Return the wrench with another length, in mm."""
        return replace(self, length=length)

    def is_due(self, day: datetime.date | None) -> bool:
        """Whether its calibration is past due on a day; never, where no day is asked about."""
        return day is not None and self.due is not None and self.due < day


@dataclass(frozen=True, slots=True)
class Need:
    """What a stage asks of a wrench: a torque from ``low`` to ``high``, in N·m.

    ``drag`` has to be read while the part turns; ``at_most`` is a torque never to go beyond.
    ``drive`` is the square that is wanted, "" for any.
    """

    low: float
    high: float
    drag: bool = False
    at_most: bool = False
    adapter: Adapter | None = None
    drive: str = ""

    @property
    def middle(self) -> float:
        """The torque that is aimed at.

        In the middle a deviation of d fits in the range when any setting fits:
        d <= (high - low) / (high + low).
        """
        return (self.low + self.high) / 2

    @property
    def tolerance(self) -> float | None:
        """What the joint allows, as a share of the middle; None when it states none."""
        return None if self.high == self.low else (self.high - self.low) / (self.high + self.low)


class Why(enum.StrEnum):
    """Why a wrench does not do a stage."""

    TOO_SMALL = "too small"
    TOO_LARGE = "too large"
    OUT_OF_DATE = "out of calibration"
    DEVIATION = "deviation"
    DRIVE = "no drive"
    LENGTH = "no length"
    BUILD = "clicks"


@dataclass(frozen=True, slots=True)
class Fit:
    """A wrench that does a stage.

    ``setting`` is in N·m on its own scale; ``low`` and ``high`` are what the fastener then gets, in
    N·m, None when its class is not stated.
    """

    wrench: Wrench
    setting: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Refusal:
    """A wrench that does not do a stage, and the reason with its figures."""

    wrench: Wrench
    why: Why
    text: str


@dataclass(frozen=True, slots=True)
class Choice:
    """The wrench to take, if any; ``first`` is the one to take if dates did not matter."""

    best: Fit | None
    first: Fit | None
    refused: tuple[Refusal, ...]


def need_of(stage: Stage, adapter: Adapter | None = None, drive: str = "") -> Need | None:
    """Return what a stage asks of a torque wrench; None when it needs none."""
    if stage.torque is None:
        return None
    low, high = _in_newton_metres(stage.torque)
    return Need(
        low,
        high,
        drag=stage.kind is StageKind.DRAG,
        at_most=stage.kind is StageKind.NEXT_SLOT,
        adapter=adapter,
        drive=drive,
    )


@lru_cache(maxsize=4096)
def _in_newton_metres(torque: Quantity) -> tuple[float, float]:
    low, high = torque.exact("N·m")
    return float(low), float(high)
