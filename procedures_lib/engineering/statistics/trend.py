"""Whether values go up or down in the course of time, and how fast, without any distribution.

Sources: the slope, H. Theil (1950) and P. K. Sen, Estimates of the regression coefficient based on
Kendall's tau, Journal of the American Statistical Association 63 (1968), 1379–1389; the test, H. B.
Mann (1945) and M. G. Kendall, Rank Correlation Methods, 4th ed. (1975), with his correction for
ties. Cited from memory; the tests compare the figures with SciPy.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from itertools import combinations
from statistics import NormalDist, median

FEWEST = 10
"""Values below which the normal approximation of the test is not used (Kendall 1975)."""


def slope(times: Sequence[float], values: Sequence[float]) -> float:
    """Return the median of the slopes between all pairs of different times, in value per time."""
    slopes = _slopes(times, values)
    return median(slopes) if slopes else 0.0


def slope_interval(
    times: Sequence[float], values: Sequence[float], confidence: float = 0.95
) -> tuple[float, float] | None:
    """Return the interval of the slope (Sen 1968, 3); None for fewer than :data:`FEWEST` values."""
    slopes, n = sorted(_slopes(times, values)), len(values)
    if n < FEWEST or not slopes:
        return None
    ties = (*Counter(times).values(), *Counter(values).values())
    square = (n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in ties)) / 18
    reach = NormalDist().inv_cdf(0.5 + confidence / 2) * math.sqrt(max(square, 0.0))
    low = max(round((len(slopes) - reach) / 2) - 1, 0)
    return slopes[low], slopes[min(round((len(slopes) + reach) / 2), len(slopes) - 1)]


def _slopes(times: Sequence[float], values: Sequence[float]) -> list[float]:
    pairs = combinations(zip(times, values, strict=True), 2)
    return [(b[1] - a[1]) / (b[0] - a[0]) for a, b in pairs if a[0] != b[0]]


def trend_chance(times: Sequence[float], values: Sequence[float]) -> float:
    """Return the two-sided probability of such a trend, or a stronger one, where there is none.

    1 for fewer than :data:`FEWEST` values, and where all times or all values are one.
    """
    n = len(values)
    if n < FEWEST:
        return 1.0
    pairs = combinations(zip(times, values, strict=True), 2)
    score = sum(_sign(b[0] - a[0]) * _sign(b[1] - a[1]) for a, b in pairs)
    x, y = list(Counter(times).values()), list(Counter(values).values())
    v0 = n * (n - 1) * (2 * n + 5)
    vx, vy = (sum(t * (t - 1) * (2 * t + 5) for t in ties) for ties in (x, y))
    x1, y1 = (sum(t * (t - 1) for t in ties) for ties in (x, y))
    x2, y2 = (sum(t * (t - 1) * (t - 2) for t in ties) for ties in (x, y))
    variance = (v0 - vx - vy) / 18 + x1 * y1 / (2 * n * (n - 1))
    variance += x2 * y2 / (9 * n * (n - 1) * (n - 2))
    if variance <= 0:
        return 1.0
    return 2 * NormalDist().cdf(-abs(score) / math.sqrt(variance))


def _sign(value: float) -> int:
    return (value > 0) - (value < 0)
