"""Torque wrenches: how far one may be off (ISO 6789-1:2017), adapters, which one does a stage."""

from __future__ import annotations

import datetime
import enum
import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.quantities import NO_BREAK_SPACE, Quantity, convert
from procedures_lib.engineering.quantities.conversion import figures, in_newton_metres
from procedures_lib.engineering.tightening.stage import Stage, StageKind


@dataclass(frozen=True, slots=True)
class Adapter:
    """An adapter: ``length`` from the wrench's square to the fastener, in mm.

    ``angle`` is that between adapter and wrench in degrees: 0 straight on, 90 across, 180 folded
    back over the handle.
    """

    length: float
    angle: float = 0.0

    @property
    def reach(self) -> float:
        """How much farther from the hand the fastener is than the square, in mm."""
        if self.angle % 180 == 90:
            return 0.0
        return self.length * math.cos(math.radians(self.angle))


def setting_for(torque: float, wrench_length: float, adapter: Adapter | None) -> float:
    """Return what to set so that the fastener gets a torque, in the unit of the torque.

    ``wrench_length`` is from the square to the middle of the grip, in mm. T·L / (L + E·cos a), US
    Army TM 9-254, figures 4-5 and 4-6. ValueError when the adapter reaches back to the hand.
    """
    return torque / _gain(wrench_length, adapter)


def torque_at(setting: float, wrench_length: float, adapter: Adapter | None) -> float:
    """Return the torque that the fastener gets, in the unit of the setting: S·(L + E·cos a) / L.

    Source, other arguments and errors as ``setting_for``.
    """
    return setting * _gain(wrench_length, adapter)


def _gain(wrench_length: float, adapter: Adapter | None) -> float:
    if adapter is None or not adapter.reach:
        return 1.0
    if wrench_length <= 0 or wrench_length + adapter.reach <= 0:
        raise ValueError("the adapter reaches back as far as the hand")
    return (wrench_length + adapter.reach) / wrench_length


SMALL = 10.0
"""Up to this maximum torque, in N·m, a small wrench has the wider deviation."""

_WRITTEN = re.compile(r"(?:type\s+)?(II?)[\s,-]*(?:class\s+)?([A-G])$", re.IGNORECASE)


def class_named(text: str) -> str:
    """Return a class as ``II A``; "" for what is no class. ``Type II, class A`` is read too."""
    match = _WRITTEN.match(text.strip())
    name = f"{match[1]} {match[2]}".upper() if match else ""
    return name if name in _classes() else ""


def permissible_deviation(deviation_class: str, most: float) -> float | None:
    """Return the deviation as a share of the torque shown or set: 0.04 is ±4 %.

    ``most`` is the maximum torque of the tool in N·m, on which it depends. None when the class is
    not known. Source: ISO 6789-1:2017, 5.1.5 and table 2 (``deviation_classes.csv`` says which rows
    are from memory).
    """
    found = _classes().get(class_named(deviation_class))
    return None if found is None else found[0 if most <= SMALL else 1]


def class_names() -> list[str]:
    """The classes there are."""
    return list(_classes())


@cache
def _classes() -> dict[str, tuple[float, float]]:
    rows = csv_rows(__package__, "deviation_classes.csv")
    return {row["class"]: (float(row["up_to_10"]), float(row["above_10"])) for row in rows}


@dataclass(frozen=True, slots=True)
class Wrench:
    """A torque wrench: the marked ends of its scale in N·m (ISO 6789-1:2017, 5.1.3).

    ``shows`` tells one that shows the torque (type I) from one that is set (type II). ``length``
    is from its square to the middle of its grip, in mm. ``due`` is the last day of use before the
    next calibration. ``unit`` is that of the scale.
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
    unit: str = "N·m"

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
    ``drive`` is the square that is wanted, "" for any. ``torque`` is what the stage says.
    """

    low: float
    high: float
    drag: bool = False
    at_most: bool = False
    adapter: Adapter | None = None
    drive: str = ""
    torque: Quantity | None = None

    @property
    def unit(self) -> str:
        """The unit in which the stage is written; on a scale in this unit nothing is converted."""
        return self.torque.unit if self.torque else "N·m"

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
        torque=stage.torque,
    )


@lru_cache(maxsize=4096)
def _in_newton_metres(torque: Quantity) -> tuple[float, float]:
    low, high = torque.exact("N·m")
    return float(low), float(high)


def percent(share: float) -> str:
    """Return a share as per cent: 0.04 is "4 %"."""
    return f"{100 * share:.3g}{NO_BREAK_SPACE}%"


_EXACT = 1e-9


def choose(wrenches: Iterable[Wrench], need: Need, day: datetime.date | None = None) -> Choice:
    """Choose a wrench whose scale has the torque's own unit, and on it the setting most central.

    A torque is set on one that clicks (type II) where there is one; drag takes one that shows
    (type I). That a wrench is at its best in the middle of its scale is common practice, no source.
    ``day`` is the day of the work: a wrench past due is then refused.
    """
    judged = [judge(wrench, need) for wrench in wrenches]
    found = (each for each in judged if isinstance(each, Fit))
    fits = sorted(found, key=lambda fit: _rank(fit, need.unit))
    in_date = [fit for fit in fits if not fit.wrench.is_due(day)]
    refused = [each for each in judged if isinstance(each, Refusal)]
    refused += [_past_due(fit.wrench) for fit in fits if fit.wrench.is_due(day)]
    return Choice(in_date[0] if in_date else None, fits[0] if fits else None, tuple(refused))


@lru_cache(maxsize=16384)
def judge(wrench: Wrench, need: Need) -> Fit | Refusal:
    """Return how a wrench does what is needed, or why it does not, whatever its date.

    Judgements are kept, as like joints come on many pages.
    """
    if need.drag and not wrench.shows:
        text = "drag is read while the part turns, on one that shows the torque"
        return Refusal(wrench, Why.BUILD, text)
    if need.drive and _plain(wrench.drive) != _plain(need.drive):
        said = f"its drive is {wrench.drive}" if wrench.drive else "its drive is not stated"
        return Refusal(wrench, Why.DRIVE, f"{said}, {need.drive} is wanted")
    if need.adapter and need.adapter.reach and wrench.length is None:
        return Refusal(wrench, Why.LENGTH, "its length, which the adapter asks for, is not stated")
    return _on_scale(wrench, need) or _within(wrench, need)


def _on_scale(wrench: Wrench, need: Need) -> Refusal | None:
    try:
        ends = (need.low, need.middle, need.high)
        low, middle, high = (_setting(torque, wrench, need) for torque in ends)
    except ValueError as error:
        return Refusal(wrench, Why.LENGTH, str(error))
    turned = need.adapter is not None and need.adapter.reach
    shown = f", {figures(middle)} N·m would have to be set" if turned else ""
    if high > wrench.most * (1 + _EXACT):
        text = f"its scale ends at {figures(wrench.most)} N·m{shown}"
        return Refusal(wrench, Why.TOO_SMALL, text)
    if low < wrench.least * (1 - _EXACT):
        text = f"its scale begins at {figures(wrench.least)} N·m{shown}"
        return Refusal(wrench, Why.TOO_LARGE, text)
    return None


def _within(wrench: Wrench, need: Need) -> Fit | Refusal:
    deviation = wrench.deviation
    if deviation is None:
        return Fit(wrench, _setting(_as_converted(wrench, need), wrench, need), None, None)
    if need.tolerance is not None and deviation > need.tolerance * (1 + _EXACT):
        text = (
            f"it may be off by ±{percent(deviation)}, the joint allows ±{percent(need.tolerance)}"
        )
        return Refusal(wrench, Why.DEVIATION, text)
    aim = need.middle / (1 + deviation) if need.at_most else _as_converted(wrench, need)
    return Fit(wrench, _setting(aim, wrench, need), aim * (1 - deviation), aim * (1 + deviation))


def _as_converted(wrench: Wrench, need: Need) -> float:
    """The torque aimed at; a plain figure in another unit is rounded as it is printed."""
    torque = need.torque
    if torque is None or torque.is_range or torque.unit == wrench.unit or need.adapter:
        return need.middle
    return in_newton_metres(float(convert(torque, wrench.unit).low), wrench.unit)


def _setting(torque: float, wrench: Wrench, need: Need) -> float:
    return setting_for(torque, wrench.length or 0.0, need.adapter)


def _rank(fit: Fit, unit: str) -> tuple[bool, bool, float]:
    wrench = fit.wrench
    scale = wrench.most - wrench.least
    share = (fit.setting - wrench.least) / scale if scale > 0 else 0.5
    return wrench.shows, wrench.unit != unit, abs(share - 0.5)


def _past_due(wrench: Wrench) -> Refusal:
    return Refusal(wrench, Why.OUT_OF_DATE, f"its calibration was due on {wrench.due}")


def _plain(drive: str) -> str:
    return "".join(drive.lower().replace('"', "in").split())
