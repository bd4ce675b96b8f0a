"""The peak of a side: a cubic through the top of each pull, read at one speed for all of them."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

from procedures_lib.engineering.dyno.curve import at_speed, common_grid, on_grid, smoothed
from procedures_lib.engineering.dyno.limits import (
    FEWEST_IN_WINDOW,
    PEAK_WINDOW_SHARE,
    SEARCH_SHARE,
)

Curves = Sequence[tuple[Sequence[float], Sequence[float]]]
"""Speeds in rpm and values, a pair for each pull."""

_TRIES = 12


@dataclass(frozen=True, slots=True)
class Peak:
    """The value of a pull at the peak of its side, and the speed in rpm where that is.

    ``raw_at`` and ``raw_value`` are those of the pull's highest sample. ``at_end`` tells that the
    side is highest where its pulls end: the true peak may lie beyond. ``lift`` is what was taken
    off, because the pull had a say in where its side is highest.
    """

    at: float
    value: float
    raw_at: float
    raw_value: float
    at_end: bool = False
    lift: float = 0.0


@dataclass(frozen=True, slots=True)
class Window:
    """The speeds in rpm that a cubic is fitted to, and those between which its top is searched."""

    low: float
    high: float
    search: tuple[float, float]

    @property
    def centre(self) -> float:
        """The middle, in rpm."""
        return (self.low + self.high) / 2

    @property
    def half(self) -> float:
        """Half the width, in rpm."""
        return (self.high - self.low) / 2


def peaks_of(curves: Curves) -> tuple[Peak, ...]:
    """Return the peak of each pull of a side; values in the unit of the curves, speeds in rpm.

    A cubic is fitted by least squares to the rows of each pull around the top of the side, and the
    mean cubic says at which speed the side is highest: there each pull is read. A speed that was
    picked by a pull's own noise reads too high, one that was picked by the other pulls reads too
    low; the two are weighed so that they cancel. A single pull is read at its own vertex alone.
    """
    window, fits = settled(curves)
    together = _highest(_mean(fits), window)
    at = window.centre + together * window.half
    ends = curves_reach(curves)
    at_end = min(abs(at - end) for end in ends) < 1e-6 * at
    return tuple(
        Peak(at, value, *_highest_sample(*curve), at_end=at_end, lift=_at(fit, together) - value)
        for value, fit, curve in zip(_read(fits, together, window), fits, curves, strict=True)
    )


def _read(fits: Sequence[Sequence[float]], together: float, window: Window) -> list[float]:
    """Read each cubic at the common top, and at the top of the others, so weighed as to cancel.

    With n pulls the noise of the slope lifts the first by B/n and lowers the second by B/(n - 1).
    """
    count = len(fits)
    if count == 1:
        return [_at(fits[0], together)]
    own = count / (2 * count - 1)
    values = []
    for n, fit in enumerate(fits):
        others = _highest(_mean([*fits[:n], *fits[n + 1 :]]), window)
        values.append(own * _at(fit, together) + (1 - own) * _at(fit, others))
    return values


def _highest_sample(speed: Sequence[float], values: Sequence[float]) -> tuple[float, float]:
    n = max(range(len(values)), key=values.__getitem__)
    return speed[n], values[n]


def curves_reach(curves: Curves) -> tuple[float, float]:
    """Return the lowest and the highest speed in rpm that all pulls of a side reach."""
    return max(speed[0] for speed, _ in curves), min(speed[-1] for speed, _ in curves)


def settled(curves: Curves) -> tuple[Window, list[tuple[float, ...]]]:
    """Return the window about the top of a side (rpm), and the cubic of each pull in it.

    The window is moved until the top of the mean cubic lies inside, or where the pulls end. The
    coefficients, lowest power first, are for shares of half the window from its middle.
    """
    at = _about(curves)
    for _ in range(_TRIES):
        window = _window(curves, at)
        fits = [_cubic(speed, values, window) for speed, values in curves]
        top = window.centre + _highest(_mean(fits), window) * window.half
        if abs(top - at) < 1e-6 * at or window.search[0] < top < window.search[1]:
            break
        at = top
    return window, fits


def _about(curves: Curves) -> float:
    """Where the mean of the pulls, smoothed, is highest."""
    grid = common_grid([speed for speed, _ in curves])
    if len(grid) < 2:
        return fmean(_highest_sample(*curve)[0] for curve in curves)
    rows = [on_grid(speed, values, grid) for speed, values in curves]
    mean = list(map(fmean, zip(*rows, strict=True)))
    soft = smoothed(grid, mean, PEAK_WINDOW_SHARE * fmean(grid))
    return grid[max(range(len(grid)), key=soft.__getitem__)]


def _window(curves: Curves, at: float) -> Window:
    """The window about a speed: a share of it to both sides, moved in where the pulls end."""
    first, last = curves_reach(curves)
    half = PEAK_WINDOW_SHARE * at
    while True:
        low = max(first, min(at - half, last - 2 * half))
        high = min(last, max(at + half, first + 2 * half))
        enough = all(
            bisect_right(speed, high) - bisect_left(speed, low) >= FEWEST_IN_WINDOW
            for speed, _ in curves
        )
        if enough or (low, high) == (first, last):
            break
        half *= 1.25
    margin = (1 - SEARCH_SHARE) * (high - low) / 2
    search = (first if low == first else low + margin, last if high == last else high - margin)
    return Window(low, high, search)


def _cubic(speed: Sequence[float], values: Sequence[float], window: Window) -> tuple[float, ...]:
    """Fit a cubic by least squares, in shares of the window from its middle; fewer rows, lower."""
    inside = slice(bisect_left(speed, window.low), bisect_right(speed, window.high))
    at = [(rpm - window.centre) / window.half for rpm in speed[inside]]
    height = values[inside]
    for size in range(min(4, len(at) - 1), 0, -1):
        moments = [math.fsum(u**n for u in at) for n in range(2 * size - 1)]
        right = [math.fsum(v * u**n for u, v in zip(at, height, strict=True)) for n in range(size)]
        found = _solved([[*moments[n : n + size], right[n]] for n in range(size)])
        if found:
            return (*found, *[0.0] * (4 - size))
    return (at_speed(speed, values, window.centre), 0.0, 0.0, 0.0)


def _solved(rows: list[list[float]]) -> list[float]:
    """Solve linear equations by elimination; the right side stands last. Empty where it can't be.

    The largest pivot of each column is taken; one that is next to nothing tells of rows alike.
    """
    size = len(rows)
    for n in range(size):
        best = max(range(n, size), key=lambda k: abs(rows[k][n]))
        rows[n], rows[best] = rows[best], rows[n]
        if abs(rows[n][n]) < 1e-9 * max(1.0, rows[0][0]):
            return []
        for k in range(n + 1, size):
            factor = rows[k][n] / rows[n][n]
            rows[k] = [one - factor * other for one, other in zip(rows[k], rows[n], strict=True)]
    found = [0.0] * size
    for n in reversed(range(size)):
        known = sum(rows[n][k] * found[k] for k in range(n + 1, size))
        found[n] = (rows[n][size] - known) / rows[n][n]
    return found


def _mean(fits: Sequence[Sequence[float]]) -> tuple[float, ...]:
    return tuple(map(fmean, zip(*fits, strict=True)))


def _at(fit: Sequence[float], u: float) -> float:
    return ((fit[3] * u + fit[2]) * u + fit[1]) * u + fit[0]


def _highest(fit: Sequence[float], window: Window) -> float:
    """Where a cubic is highest between the speeds searched, in shares of the window."""
    low, high = ((end - window.centre) / window.half for end in window.search)
    found = [low, high]
    root = fit[2] ** 2 - 3 * fit[3] * fit[1]
    if root >= 0:
        lower = -(fit[2] + math.copysign(math.sqrt(root), fit[2]))
        found += [top / bottom for top, bottom in ((lower, 3 * fit[3]), (fit[1], lower)) if bottom]
    return max((u for u in found if low <= u <= high), key=lambda u: _at(fit, u))
