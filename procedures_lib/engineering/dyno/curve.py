"""One quantity over speed: its values on a common grid of speeds, its smoothing, its mean."""

from __future__ import annotations

import math
from array import array
from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate

from procedures_lib.engineering.dyno.limits import GRID_STEP_RPM


def common_grid(curves: Sequence[Sequence[float]], step: int = GRID_STEP_RPM) -> tuple[float, ...]:
    """Return the multiples of ``step`` rpm that all these rows of speeds reach, () for none."""
    first = math.ceil(max(speeds[0] for speeds in curves) / step - 1e-9)
    last = math.floor(min(speeds[-1] for speeds in curves) / step + 1e-9)
    return tuple(float(n * step) for n in range(first, last + 1))


def on_grid(
    speed: Sequence[float], values: Sequence[float], grid: Sequence[float]
) -> tuple[float, ...]:
    """Return a curve at the speeds of a grid, each on the straight line between two samples.

    Speeds outside the curve get the value of its end; ``common_grid`` has none but for rounding.
    """
    return tuple(at_speed(speed, values, at) for at in grid)


def at_speed(speed: Sequence[float], values: Sequence[float], at: float) -> float:
    """Return the value at one speed, on the straight line between the samples beside it."""
    n = bisect_left(speed, at)
    if n == len(speed):
        return values[-1]
    if n == 0 or speed[n] == at:
        return values[n]
    share = (at - speed[n - 1]) / (speed[n] - speed[n - 1])
    return values[n - 1] + share * (values[n] - values[n - 1])


def smoothed(speed: Sequence[float], values: Sequence[float], width: float) -> array[float]:
    """Return the moving mean over ``width`` rpm: of all samples within half of it on both sides.

    Towards the ends the window shrinks on both sides alike, so that a slope is not bent there.
    """
    sums = [0.0, *accumulate(values)]
    out = array("d")
    for at in speed:
        half = min(width / 2, at - speed[0], speed[-1] - at)
        low = bisect_left(speed, at - half - 1e-9)
        high = bisect_left(speed, at + half + 1e-9)
        out.append((sums[high] - sums[low]) / (high - low))
    return out


def mean_over(grid: Sequence[float], values: Sequence[float]) -> float:
    """Return the mean of a curve over its grid: the area by trapezia, through the width."""
    if len(grid) < 2:
        return values[0]
    area = sum(
        (grid[n + 1] - grid[n]) * (values[n] + values[n + 1]) / 2 for n in range(len(grid) - 1)
    )
    return area / (grid[-1] - grid[0])


def crossings(grid: Sequence[float], difference: Sequence[float]) -> tuple[float, ...]:
    """Return the speeds at which a difference changes its sign, each on a straight line."""
    found, last = [], -1
    for n, value in enumerate(difference):
        if value == 0:
            continue
        if last >= 0 and difference[last] * value < 0:
            here, there = abs(difference[last]), abs(value)
            found.append(grid[last] + (grid[n] - grid[last]) * here / (here + there))
        last = n
    return tuple(found)
