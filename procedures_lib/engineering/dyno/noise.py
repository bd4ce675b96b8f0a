"""The noise of a pull, row by row, and rows that leap out of it."""

from __future__ import annotations

import math
from array import array
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

from procedures_lib.engineering.dyno import limits
from procedures_lib.engineering.dyno.pull import Pull, power_kw

_TO_DEVIATION = 1.4826
"""From the median deviation to the standard deviation of a normal distribution."""

_ROUNDING = 0.001


@dataclass(frozen=True, slots=True)
class Leap:
    """A row that leaps out: its speed in rpm, and how far, as a share of its neighbours' value."""

    at: float
    share: float


def noise_share(speed: Sequence[float], values: Sequence[float]) -> float:
    """Return the scatter from row to row, as a share of the value; 0 with under 8 rows.

    Each row is held against the cubic through the two rows before and the two behind it; the
    median deviation stands for all, so that a few wild rows count for nothing.
    """
    if len(values) < 8:
        return 0.0
    return _noise(_against_neighbours(speed, values))


def _noise(against: Sequence[tuple[float, float]]) -> float:
    return _TO_DEVIATION * median(abs(left) / spread for left, spread in against)


def without_leaps(pull: Pull) -> tuple[Pull, tuple[Leap, ...]]:
    """Return a pull without the rows that leap out of it, and those rows by speed.

    A row leaps when torque or power lies beyond both its neighbours, and off the cubic through
    four of them by more than eight times the noise and by ``leap_share``: more, where its
    neighbours are farther apart than ``leap_within_rpm``. Low rows where the pull begins are of
    the rolling up, and are counted as such.
    """
    leaps = {leap.at: leap for leap in _leaps(pull.speed, pull.torque)}
    if not _is_product(pull):
        leaps |= {leap.at: leap for leap in _leaps(pull.speed, pull.power)}
    if not leaps:
        return pull, ()
    kept = [n for n, rpm in enumerate(pull.speed) if rpm not in leaps]
    speed, torque, power, time = (
        array("d", (values[n] for n in kept) if values else ())
        for values in (pull.speed, pull.torque, pull.power, pull.time)
    )
    first = pull.speed[0] + 2 * limits.JITTER_SHARE * pull.speed[-1]
    early = [at for at, leap in leaps.items() if at <= first and leap.share < 0]
    clean = replace(pull, speed=speed, torque=torque, power=power, time=time,
                    rolled_up=pull.rolled_up + len(early))  # fmt: skip
    return clean, tuple(leaps[at] for at in sorted(leaps) if at not in early)


def _is_product(pull: Pull) -> bool:
    """Whether the power is torque times speed, row by row: then it has no noise of its own."""
    rows = zip(pull.speed, pull.torque, pull.power, strict=True)
    return all(abs(power_kw(n_m, rpm) - kw) <= 1e-9 * abs(kw) for rpm, n_m, kw in rows)


def _leaps(speed: Sequence[float], values: Sequence[float]) -> list[Leap]:
    """The rows that leap, the worst first: each is judged without those before it."""
    at, height = list(speed), list(values)
    found: list[Leap] = []
    most = max(1, int(len(at) * limits.LEAPING_ROWS_SHARE))
    while len(at) >= 8 and len(found) < most:
        worst = _worst(at, height)
        if worst is None:
            break
        n, share = worst
        found.append(Leap(at[n], share))
        del at[n], height[n]
    return found


def _worst(speed: Sequence[float], values: Sequence[float]) -> tuple[int, float] | None:
    against = _against_neighbours(speed, values)
    noise = max(_noise(against), _ROUNDING)
    best, found = limits.LEAP_NOISES, None
    for n, (left, spread) in enumerate(against, start=1):
        far = speed[n + 1] - speed[n - 1] > limits.LEAP_WITHIN_RPM
        least = limits.LEAP_SHARE_FAR if far else limits.LEAP_SHARE
        if abs(left) < least or abs(left) <= best * noise * spread:
            continue
        beyond = min((values[n] / values[k] - 1) * math.copysign(1, left) for k in (n - 1, n + 1))
        if beyond > limits.LEAP_SHARE / 2:
            best, found = abs(left) / (noise * spread), (n, left)
    return found


def _against_neighbours(
    speed: Sequence[float], values: Sequence[float]
) -> list[tuple[float, float]]:
    """What each row but the first and last is off the cubic through four rows beside it.

    As a share of the cubic, with the factor by which the noise of a single row is larger in that.
    """
    last = len(speed) - 1
    found = []
    for n in range(1, last):
        first = min(max(n - 2, 0), last - 4)
        beside = [k for k in range(first, first + 5) if k != n]
        weights = _lagrange([speed[k] for k in beside], speed[n])
        there = sum(w * values[k] for w, k in zip(weights, beside, strict=True))
        share = values[n] / there - 1 if there > 0 else 0.0
        found.append((share, math.sqrt(1 + sum(w * w for w in weights))))
    return found


def _lagrange(at: Sequence[float], x: float) -> list[float]:
    """The weights of the cubic through four points, read at ``x``."""
    a, b, c, d = at
    p, q, r, s = x - a, x - b, x - c, x - d
    return [
        q * r * s / ((a - b) * (a - c) * (a - d)),
        p * r * s / ((b - a) * (b - c) * (b - d)),
        p * q * s / ((c - a) * (c - b) * (c - d)),
        p * q * r / ((d - a) * (d - b) * (d - c)),
    ]
