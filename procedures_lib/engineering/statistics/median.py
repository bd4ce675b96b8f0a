"""The median of repeats with its interval, the sign test, outliers, without any distribution.

Sources: the interval between two order statistics and the sign test, W. J. Conover, Practical
Nonparametric Statistics, 3rd ed. (1999), 3.2 and 3.4; also Hahn and Meeker, Statistical Intervals
(1991), 5.2. The fences, J. W. Tukey, Exploratory Data Analysis (1977), 2D. Cited from memory; the
tests compare the figures with SciPy.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import median

FAR_OUT = 3.0
"""How many times the width of the middle half lies between it and a far outlier (Tukey 1977)."""


@dataclass(frozen=True, slots=True)
class Middle:
    """The median of ``count`` values, ``low`` and ``high`` around it, and the middle half.

    The interval holds the median of what the values are drawn from with at least the confidence
    asked for; both ends are None where so few values can't give such an interval.
    """

    count: int
    median: float
    low: float | None
    high: float | None
    lower_quarter: float
    upper_quarter: float


def middle(values: Iterable[float], confidence: float = 0.95) -> Middle:
    """Return the median, its interval and the quarters of some values, in their unit.

    ValueError for no values. Six are the fewest that give an interval of 95 %.
    """
    row = sorted(values)
    if not row:
        raise ValueError("the median of nothing")
    place = _place(len(row), confidence)
    low, high = (row[place - 1], row[-place]) if place else (None, None)
    return Middle(len(row), median(row), low, high, _quantile(row, 0.25), _quantile(row, 0.75))


@lru_cache(maxsize=1024)
def _place(count: int, confidence: float) -> int:
    """The place, from 1, of the order statistic that is the lower end; 0 where none will do."""
    place = 0
    while binomial_up_to(place, count, 0.5) <= (1 - confidence) / 2 + 1e-12:
        place += 1
    return place


def _quantile(row: Sequence[float], share: float) -> float:
    """The quantile of a sorted row by straight lines between its values (Hyndman and Fan, 7)."""
    at = share * (len(row) - 1)
    n = min(int(at), len(row) - 2)
    return row[0] if len(row) == 1 else row[n] + (at - n) * (row[n + 1] - row[n])


def sign_test(values: Iterable[float], bound: float, *, above: bool) -> float:
    """Return the probability of so many values beyond a bound, if the median lies at it.

    One-sided: ``above`` asks whether the median is above the bound, else whether it is below.
    Values at the bound count for neither side; without any others it is 1.
    """
    row = list(values)
    over, under = sum(v > bound for v in row), sum(v < bound for v in row)
    hits = over if above else under
    return binomial_from(hits, over + under, 0.5)


def far_out(values: Sequence[float]) -> list[int]:
    """Return the places, from 0, of the values that lie far from the middle half, both ways.

    Fewer than 8 values name none: the middle half is not known well enough then.
    """
    if len(values) < 8:
        return []
    row = sorted(values)
    lower, upper = _quantile(row, 0.25), _quantile(row, 0.75)
    reach = FAR_OUT * (upper - lower)
    return [n for n, v in enumerate(values) if not lower - reach <= v <= upper + reach]


def binomial_up_to(hits: int, count: int, share: float) -> float:
    """Return the probability of at most so many hits in ``count`` tries with a chance ``share``."""
    if hits < 0:
        return 0.0
    if hits >= count:
        return 1.0
    return min(1.0, math.fsum(_chance(n, count, share) for n in range(hits + 1)))


def binomial_from(hits: int, count: int, share: float) -> float:
    """Return the probability of at least so many hits; else as :func:`binomial_up_to`."""
    if hits <= 0:
        return 1.0
    return min(1.0, math.fsum(_chance(n, count, share) for n in range(hits, count + 1)))


def _chance(hits: int, count: int, share: float) -> float:
    if share in (0.0, 1.0):
        return float(hits == (count if share else 0))
    ways = math.lgamma(count + 1) - math.lgamma(hits + 1) - math.lgamma(count - hits + 1)
    return math.exp(ways + hits * math.log(share) + (count - hits) * math.log1p(-share))
