"""Sessions of engines that are known exactly: pulls with noise and scatter, and faults in them."""

from __future__ import annotations

import math
from array import array
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import pairwise
from random import Random
from typing import TYPE_CHECKING

from procedures_lib.engineering.dyno.curve import common_grid
from procedures_lib.engineering.dyno.drift import in_turns, turns_of
from procedures_lib.engineering.dyno.gain import Gain, gain_of
from procedures_lib.engineering.dyno.noise import noise_share, without_leaps
from procedures_lib.engineering.dyno.pull import KW_RPM, Pull
from procedures_lib.engineering.dyno.soundness import Doubt, Sides, Trace, doubts

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

Points = tuple[tuple[float, float], ...]

FINCH: Points = ((1500, 120), (2300, 205), (4200, 212), (5600, 190), (6500, 160))
FINCH_220: Points = ((1500, 119), (2300, 223), (4200, 245), (5600, 214), (6500, 186))
DROVER: Points = ((1400, 250), (3000, 290), (4200, 305), (5400, 262), (6200, 220))
DROVER_420: Points = ((1400, 242), (3000, 288), (4200, 321), (5400, 281), (6200, 240))
"""Engines of the demo: torque in N·m over rpm, with cosines between the points."""


@dataclass(frozen=True)
class Side:
    """How a side is pulled: noise from row to row, scatter from pull to pull (shares), pulls."""

    noise: float = 0.002
    scatter: float = 0.003
    pulls: int = 3


@dataclass(frozen=True)
class Session:
    """Two engines, two sides, minutes for pulls in turns, drift per minute, and a fault.

    The fault is given side (0, 1), number of the pull, speeds and torques, and returns new ones.
    """

    engines: tuple[Points, Points] = (FINCH, FINCH_220)
    sides: tuple[Side, Side] = field(default=(Side(), Side()))
    step: float = 22
    minutes: tuple[tuple[float, ...], tuple[float, ...]] | None = None
    drift: float = 0.0
    fault: (
        Callable[[int, int, list[float], list[float]], tuple[list[float], list[float]]] | None
    ) = None


def torque(points: Points, rpm: float) -> float:
    """The torque of an engine in N·m."""
    for (here, low), (there, high) in pairwise(points):
        if rpm <= there:
            share = max(0.0, (rpm - here) / (there - here))
            return low + (high - low) * (1 - math.cos(math.pi * share)) / 2
    return points[-1][1]


@cache
def true_peak(points: Points, quantity: str) -> float:
    """The highest power in kW or torque in N·m, searched at each rpm."""
    speeds = range(int(points[0][0]), int(points[-1][0]) + 1)
    return max(torque(points, n) * (n / KW_RPM if quantity == "power" else 1) for n in speeds)


def true_mean(points: Points, gain: Gain) -> float:
    """The mean of power or torque over the band of a gain, by trapezia of 10 rpm."""
    first, last = (int(end) for end in gain.band)
    speeds = range(first, last + 1, 10)
    values = [torque(points, n) * (n / KW_RPM if gain.quantity == "power" else 1) for n in speeds]
    return (sum(values) - (values[0] + values[-1]) / 2) * 10 / (last - first)


def curve(
    points: Points, side: Side, factor: float, step: float, random: Random
) -> tuple[list[float], list[float]]:
    """One pull: speeds in rpm and torques in N·m."""
    whole = factor * (1 + random.gauss(0, side.scatter))
    rpm = points[0][0] + random.uniform(0, step)
    speed, values = [], []
    while rpm <= points[-1][0]:
        speed.append(rpm)
        values.append(torque(points, rpm) * whole * (1 + random.gauss(0, side.noise)))
        rpm += step * random.uniform(0.85, 1.15)
    return speed, values


def pulls(session: Session, which: int, random: Random) -> list[Pull]:
    """The pulls of a side."""
    side, found = session.sides[which], []
    for n in range(side.pulls):
        at = session.minutes[which][n] if session.minutes else 0.0
        rows = curve(session.engines[which], side, 1 + session.drift * at, session.step, random)
        if session.fault:
            rows = session.fault(which, n, *rows)
        speed, values = array("d", rows[0]), array("d", rows[1])
        power = array("d", (t * n / KW_RPM for n, t in zip(speed, values, strict=True)))
        found.append(Pull(speed, values, power))
    return found


def worked_out(
    session: Session, random: Random, *, doubted: bool = True
) -> tuple[list[Gain], list[Doubt]]:
    """The gains in power and torque of a session, and the doubts."""
    sides = [[without_leaps(pull) for pull in pulls(session, n, random)] for n in (0, 1)]
    grid = common_grid([pull.speed for side in sides for pull, _ in side])
    turns = turns_of(*session.minutes) if session.minutes and in_turns(*session.minutes) else None
    gains = []
    for quantity in ("power", "torque"):
        old, new = ([(p.speed, getattr(p, quantity)) for p, _ in side] for side in sides)
        gains.append(gain_of(quantity, old, new, grid, None, turns))
    if not doubted:
        return gains, []
    before, after = (
        [
            Trace(f"{name} {n}", p.speed, p.torque, noise_share(p.speed, p.torque), (), leaps)
            for n, (p, leaps) in enumerate(side, start=1)
        ]
        for name, side in zip(("before", "after"), sides, strict=True)
    )
    minutes: Sequence[Sequence[float]]
    minutes = session.minutes or [range(len(before)), range(len(after))]
    return gains, list(doubts(Sides.of(before, after, grid), gains, minutes))


def hits(session: Session, gains: list[Gain]) -> list[bool]:
    """Whether the true gain lies in the interval: peak of power and torque, mean of both."""
    old, new = session.engines
    found = []
    for gain in gains:
        true = true_peak(new, gain.quantity) - true_peak(old, gain.quantity)
        found.append(gain.at_peak.low <= true <= gain.at_peak.high)
    for gain in gains:
        true = true_mean(new, gain) - true_mean(old, gain)
        found.append(gain.over_band.low <= true <= gain.over_band.high)
    return found


def any_clean(random: Random) -> Session:
    """A session without any fault: an engine, a kit, noise and scatter as they come."""
    points = random.choice((FINCH, DROVER))
    size = random.uniform(0.97, 1.1)
    kit = tuple((rpm, t * size * (1 + random.uniform(-0.03, 0.09))) for rpm, t in points)
    noise = random.uniform(0.001, 0.012)
    sides = [
        Side(noise * random.uniform(0.8, 1.25), random.uniform(0.001, 0.01), random.randint(3, 5))
        for _ in "ab"
    ]
    step = random.choice((10, 22, 22, 50))
    return replace(Session(), engines=(points, kit), sides=(sides[0], sides[1]), step=step)


def any_large(random: Random) -> Session:
    """The same with a kit of 10 to 60 %, which does nothing at the lowest speed."""
    session, size = any_clean(random), random.uniform(0.1, 0.6)
    points = random.choice((FINCH, DROVER))
    (first, low), *others = points
    more = ((rpm, t * (1 + size * random.uniform(0.3, 1))) for rpm, t in others)
    return replace(session, engines=(points, ((first, low), *more)))


def without_kit(random: Random) -> Session:
    """The same without a kit."""
    session = any_clean(random)
    return replace(session, engines=(session.engines[0], session.engines[0]))
