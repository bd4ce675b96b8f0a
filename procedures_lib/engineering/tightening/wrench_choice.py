"""Which torque wrench does a stage, what to set on it, and why another does not."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from procedures_lib.engineering.quantities import NO_BREAK_SPACE, unit_named
from procedures_lib.engineering.tightening.wrench import (
    Choice,
    Fit,
    Need,
    Refusal,
    Why,
    Wrench,
    setting_for,
)

if TYPE_CHECKING:
    import datetime


_FOOT_FROM = 20.0
"""From this many N·m up the unit in brackets is lbf·ft, below it lbf·in."""


def figures(value: float) -> str:
    """Return a value with three significant figures: 14.1, 8.57, 120; whole ones from 1000 on."""
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}"


def percent(share: float) -> str:
    """Return a share as per cent: 0.04 is "4 %"."""
    return f"{100 * share:.3g}{NO_BREAK_SPACE}%"


def in_unit(torque: float, unit: str) -> float:
    """Return a torque that is given in N·m in another unit, exact but for the float."""
    one = Fraction(1)
    return torque * float(unit_named("N·m").to_base(one) / unit_named(unit).to_base(one))


def torque_text(torque: float) -> str:
    """Return a torque in N·m with the customary unit: ``14.1 N·m (125 lbf·in)``."""
    return f"{one_unit(torque, 'N·m')} ({one_unit(torque, customary_unit(torque))})"


def customary_unit(torque: float) -> str:
    """Return the unit that stands beside a torque in N·m: lbf·in, from 20 N·m up lbf·ft."""
    return "lbf·ft" if torque >= _FOOT_FROM else "lbf·in"


def one_unit(torque: float, unit: str) -> str:
    """Return a torque that is given in N·m as a text in one unit."""
    return f"{figures(in_unit(torque, unit))}{NO_BREAK_SPACE}{unit}"


def band_text(low: float, high: float, unit: str) -> str:
    """Return a band that is given in N·m as a text in one unit: ``10.6–11.4 N·m``."""
    ends = "–".join(figures(in_unit(torque, unit)) for torque in (low, high))
    return f"{ends}{NO_BREAK_SPACE}{unit}"


_EXACT = 1e-9


def choose(wrenches: Iterable[Wrench], need: Need, day: datetime.date | None = None) -> Choice:
    """Choose the wrench on whose scale the setting lies nearest the middle.

    A torque is set on one that clicks (type II) where there is one; drag takes one that shows
    (type I). That a wrench is at its best in the middle of its scale is common practice, no source.
    ``day`` is the day of the work: a wrench past due is then refused.
    """
    judged = [judge(wrench, need) for wrench in wrenches]
    fits = sorted((each for each in judged if isinstance(each, Fit)), key=_rank)
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
        return Fit(wrench, _setting(need.middle, wrench, need), None, None)
    if need.tolerance is not None and deviation > need.tolerance * (1 + _EXACT):
        text = (
            f"it may be off by ±{percent(deviation)}, the joint allows ±{percent(need.tolerance)}"
        )
        return Refusal(wrench, Why.DEVIATION, text)
    aim = need.middle / (1 + deviation) if need.at_most else need.middle
    return Fit(wrench, _setting(aim, wrench, need), aim * (1 - deviation), aim * (1 + deviation))


def _setting(torque: float, wrench: Wrench, need: Need) -> float:
    return setting_for(torque, wrench.length or 0.0, need.adapter)


def _rank(fit: Fit) -> tuple[bool, float]:
    wrench = fit.wrench
    scale = wrench.most - wrench.least
    share = (fit.setting - wrench.least) / scale if scale > 0 else 0.5
    return wrench.shows, abs(share - 0.5)


def _past_due(wrench: Wrench) -> Refusal:
    return Refusal(wrench, Why.OUT_OF_DATE, f"its calibration was due on {wrench.due}")


def _plain(drive: str) -> str:
    return "".join(drive.lower().replace('"', "in").split())
