"""Faults that happen in sessions, each made in a session of an engine that is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.dyno.simulated import FINCH, FINCH_220, Session, Side, torque

if TYPE_CHECKING:
    from collections.abc import Callable

Rows = tuple[list[float], list[float]]


def spike(which: int, _: int, speed: list[float], values: list[float]) -> Rows:
    """One row of each pull after is 40 % too high."""
    if which == 1:
        n = min(range(len(speed)), key=lambda n: abs(speed[n] - 5500))
        values[n] *= 1.4
    return speed, values


def bump(which: int, _: int, speed: list[float], values: list[float]) -> Rows:
    """Four rows of each pull after are 30 % too high."""
    if which == 1:
        n = min(range(len(speed)), key=lambda n: abs(speed[n] - 5500))
        for k in range(n, n + 4):
            values[k] *= 1.3
    return speed, values


def lag(which: int, _: int, speed: list[float], values: list[float]) -> Rows:
    """The torque of each pull after is that of 200 rpm lower."""
    if which == 1:
        values = [t * torque(FINCH, rpm - 200) / torque(FINCH, rpm)
                  for rpm, t in zip(speed, values, strict=True)]  # fmt: skip
    return speed, values


def lag_in_one(which: int, n: int, speed: list[float], values: list[float]) -> Rows:
    """The same, in one of three pulls of a kit's side."""
    if (which, n) == (1, 1):
        values = [t * torque(FINCH_220, rpm - 200) / torque(FINCH_220, rpm)
                  for rpm, t in zip(speed, values, strict=True)]  # fmt: skip
    return speed, values


def in_pounds(which: int, _: int, speed: list[float], values: list[float]) -> Rows:
    """The torque after is in lbf·ft, and the header says N·m."""
    return speed, [t / 1.3558179483 if which == 1 else t for t in values]


def one_in_pounds(which: int, n: int, speed: list[float], values: list[float]) -> Rows:
    """The same for one pull."""
    return speed, [t / 1.3558179483 if (which, n) == (0, 2) else t for t in values]


def two_per_cent(which: int, _: int, speed: list[float], values: list[float]) -> Rows:
    """All pulls after are 2 % too high: the dyno has drifted."""
    return speed, [t * 1.02 if which == 1 else t for t in values]


def hotter(_: int, n: int, speed: list[float], values: list[float]) -> Rows:
    """Each pull is 1 % lower than the one before: the engine gets hot."""
    return speed, [t * (1 - 0.01 * n) for t in values]


NOTHING = (FINCH, FINCH)
STEADY = (Side(scatter=0.001), Side(scatter=0.001))

FAULTS: dict[str, tuple[Callable[[], Session], str]] = {
    "noise 0.25 and 3 %": (lambda: Session(NOTHING, (Side(0.0025), Side(0.03))), "noise-differs"),
    "one row 40 % too high in each pull after": (
        lambda: Session(NOTHING, fault=spike), "rows-that-leap"),
    "four rows 30 % too high in each pull after": (
        lambda: Session(NOTHING, fault=bump), "peak-stands-alone"),
    "torque after lags by 200 rpm": (lambda: Session(NOTHING, fault=lag), "curve-moved"),
    "the torque of one pull lags by 200 rpm": (lambda: Session(fault=lag_in_one), "curve-moved"),
    "after in lbf·ft, headed N·m": (lambda: Session(fault=in_pounds), "pulls-apart"),
    "one pull in lbf·ft, headed N·m": (lambda: Session(fault=one_in_pounds), "pulls-apart"),
    "2 % over all pulls after": (
        lambda: Session(NOTHING, STEADY, fault=two_per_cent), "gain-like-drift"),
    "each pull 1 % lower than the last": (
        lambda: Session(sides=STEADY, fault=hotter), "gain-like-drift"),
}  # fmt: skip
"""Each fault: the session, and the check that has to say it."""
