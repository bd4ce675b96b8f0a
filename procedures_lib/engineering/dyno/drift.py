"""Drift: what changes by the minute whatever is fitted, and how pulls made in turns take it out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

from procedures_lib.engineering.dyno.gain_interval import Interval, t_quantile
from procedures_lib.engineering.dyno.limits import CONFIDENCE, FEWEST_TURNS

Matrix = list[list[float]]


@dataclass(frozen=True, slots=True)
class Turns:
    """Pulls in turns: minutes of the pulls before, then of those after, and what they weigh.

    The gain is the sum of the values by their ``weights``, by least squares with a straight drift
    over the minutes. ``counts`` is how many pulls a side has; ``leftover`` makes residuals of
    values; ``parts`` and ``squares`` give mean and variance of the estimated variance of the gain
    from the variances of the two sides.
    """

    weights: tuple[float, ...]
    counts: tuple[int, int]
    leftover: Matrix
    parts: tuple[float, float]
    squares: tuple[float, float, float]

    def gain(self, before: Sequence[float], after: Sequence[float], looks: int = 1) -> Interval:
        """Return after less before, in the unit of the values, with its interval.

        The scatter of the sides need not be the same: each residual is taken by its own leverage
        (HC2 after MacKinnon and White, 1985), the degrees of freedom are Satterthwaite's. With
        pulls not in turns and no drift this is Welch's interval. ``looks`` as for ``welch``.
        """
        values = [*before, *after]
        estimate = math.fsum(w * v for w, v in zip(self.weights, values, strict=True))
        if len(values) < 4:
            return Interval(estimate)
        away = [_dot(row, values) ** 2 / row[n] if row[n] > 1e-9 else 0.0
                for n, row in enumerate(self.leftover)]  # fmt: skip
        variance = math.fsum(w * w * v for w, v in zip(self.weights, away, strict=True))
        if variance <= 1e-24 * max(map(abs, values)) ** 2:
            return Interval(estimate, 0.0, math.inf)
        old, new = fmean(away[: self.counts[0]]), fmean(away[self.counts[0] :])
        mean = self.parts[0] * old + self.parts[1] * new
        spread = self.squares[0] * old**2 + self.squares[1] * old * new + self.squares[2] * new**2
        df = max(1.0, mean**2 / spread)
        t = t_quantile(1 - (1 - CONFIDENCE) / (2 * looks), df)
        return Interval(estimate, t * math.sqrt(variance), df)


def in_turns(before: Sequence[float], after: Sequence[float]) -> bool:
    """Tell whether pulls were made in turns: before, after, before again, by their minutes."""
    order = sorted([(at, "before") for at in before] + [(at, "after") for at in after])
    changes = sum(one[1] != other[1] for one, other in pairwise(order))
    return changes >= FEWEST_TURNS


def turns_of(before: Sequence[float], after: Sequence[float]) -> Turns:
    """Return what takes a straight drift out of pulls made in turns at these minutes.

    ValueError where they are not in turns: then drift and gain can't be told apart.
    """
    if not in_turns(before, after):
        raise ValueError("the pulls are not in turns")
    minutes = [*before, *after]
    count = len(minutes)
    even = [1 / math.sqrt(count)] * count
    drift = _beside(minutes, [even])
    slope = [v / _length(drift) for v in drift]
    fitted = _beside([0.0] * len(before) + [1.0] * len(after), [even, slope])
    square = _length(fitted) ** 2
    weights = tuple(v / square for v in fitted)
    basis = [even, slope, [v / math.sqrt(square) for v in fitted]]
    leftover = [
        [float(n == k) - sum(row[n] * row[k] for row in basis) for k in range(count)]
        for n in range(count)
    ]
    return _with_moments(weights, (len(before), len(after)), leftover)


def _with_moments(weights: tuple[float, ...], counts: tuple[int, int], left: Matrix) -> Turns:
    count = len(weights)
    scale = [w * w / left[n][n] if left[n][n] > 1e-9 else 0.0 for n, w in enumerate(weights)]
    form = [
        [math.fsum(scale[m] * left[m][n] * left[m][k] for m in range(count)) for k in range(count)]
        for n in range(count)
    ]
    sides = range(counts[0]), range(counts[0], count)
    parts = [sum(form[n][n] for n in side) for side in sides]
    squares = [
        sum(form[n][k] ** 2 for n in one for k in other)
        for one, other in ((sides[0], sides[0]), (sides[0], sides[1]), (sides[1], sides[1]))
    ]
    return Turns(weights, counts, left, (parts[0], parts[1]),
                 (squares[0], 2 * squares[1], squares[2]))  # fmt: skip


def _beside(values: Sequence[float], basis: Matrix) -> list[float]:
    """What of the values is not along the vectors of a basis."""
    left = list(values)
    for row in basis:
        along = _dot(row, left)
        left = [v - along * r for v, r in zip(left, row, strict=True)]
    return left


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    return math.fsum(a * b for a, b in zip(one, other, strict=True))


def _length(values: Sequence[float]) -> float:
    return math.sqrt(_dot(values, values))
