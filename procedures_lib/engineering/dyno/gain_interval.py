"""The interval in which a gain lies: the spread of repeats and Student's t."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import fmean, stdev

from procedures_lib.engineering.dyno.limits import CONFIDENCE, TWO_EACH

_TINY = 1e-300
_STEPS = 400


def t_quantile(probability: float, df: float) -> float:
    """Return Student's t (dimensionless) with a share of ``probability`` (0.5 to 1) below it.

    ``df``, the degrees of freedom, is above 0 and need not be whole (Welch). Found by Newton's
    method on the distribution function below, by halving where that leaps too far; ValueError for
    any other probability.
    """
    if not 0.5 <= probability < 1 or not df > 0:
        raise ValueError(f"no quantile for {probability} with {df} degrees of freedom")
    low, high = 0.0, 1.0
    while t_below(high, df) < probability:
        low, high = high, high * 2
    t = (low + high) / 2
    for _ in range(_STEPS):
        wrong = t_below(t, df) - probability
        low, high = (low, t) if wrong > 0 else (t, high)
        step = t - wrong / _density(t, df)
        new = step if low < step < high else (low + high) / 2
        if abs(new - t) <= 1e-14 * t:
            return new
        t = new
    return t


def _density(t: float, df: float) -> float:
    if math.isinf(df):
        return math.exp(-t * t / 2) / math.sqrt(2 * math.pi)
    log = math.lgamma((df + 1) / 2) - math.lgamma(df / 2) - 0.5 * math.log(df * math.pi)
    return math.exp(log - (df + 1) / 2 * math.log1p(t * t / df))


def t_below(t: float, df: float) -> float:
    """Return the share of Student's distribution below ``t`` (0 or more), by DLMF 8.17.22."""
    if math.isinf(df):
        return 0.5 * (1 + math.erf(t / math.sqrt(2)))
    square = t * t
    if square < df:  # the tail is the larger half: count it from the other side
        return 0.5 + 0.5 * _incomplete_beta(0.5, df / 2, square / (df + square))
    return 1 - 0.5 * _incomplete_beta(df / 2, 0.5, df / (df + square))


def _incomplete_beta(a: float, b: float, x: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b)."""
    if x <= 0 or x >= 1:
        return float(x >= 1)
    if x > (a + 1) / (a + b + 2):
        return 1 - _incomplete_beta(b, a, 1 - x)
    log_front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    log_front += a * math.log(x) + b * math.log1p(-x)
    return math.exp(log_front) / a * _fraction(a, b, x)


def _fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta function (DLMF 8.17.22), by Lentz's method."""
    value, c, d = 1.0, 1.0, 0.0
    for n in range(1, _STEPS):
        part = _part(n, a, b, x)
        d = 1 / _not_zero(1 + part * d)
        c = _not_zero(1 + part / c)
        value *= c * d
        if abs(c * d - 1) < 1e-15:
            break
    return 1 / value


def _part(n: int, a: float, b: float, x: float) -> float:
    m = n // 2
    if n % 2 == 0:
        return m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
    return -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))


def _not_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


REPEATABILITY = 2.8
"""The repeatability limit is 2.8 times the standard deviation: 1.96 √2, rounded (ISO 5725-6)."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A difference with the half-width of its interval; ``df`` degrees of freedom (inf: exact).

    ``half`` is None where it can't be worked out: with fewer than two values on a side.
    """

    estimate: float
    half: float | None = None
    df: float = math.nan

    @property
    def low(self) -> float:
        """The low end; minus infinity when nothing is known."""
        return -math.inf if self.half is None else self.estimate - self.half

    @property
    def high(self) -> float:
        """The high end; infinity when nothing is known."""
        return math.inf if self.half is None else self.estimate + self.half

    @property
    def is_known(self) -> bool:
        """Whether the interval could be worked out."""
        return self.half is not None

    def widened(self, *by: float) -> Interval:
        """Return the interval with further half-widths added, as the root of the squares."""
        return self if self.half is None else replace(self, half=math.hypot(self.half, *by))

    @property
    def within_noise(self) -> bool:
        """Whether zero lies inside: the spread alone may have made the difference."""
        return self.half is not None and self.low <= 0 <= self.high


def welch(
    before: Sequence[float],
    after: Sequence[float],
    confidence: float = CONFIDENCE,
    looks: int = 1,
) -> Interval:
    """Return after less before with its interval after Welch (1947), variances not taken as equal.

    The values are in one unit, and so is the interval. ``looks`` is how many differences are looked
    at together: with more than one, the interval is widened after Bonferroni, so that all of them
    hold at once with ``confidence``. The degrees of freedom are Satterthwaite's; with two values
    each they are raised a little, as Welch's own are, since the interval would be too wide.
    """
    estimate = fmean(after) - fmean(before)
    if min(len(before), len(after)) < 2:
        return Interval(estimate)
    shares = _of_means(before, after)
    total = sum(shares)
    if total == 0:
        return Interval(estimate, 0.0, math.inf)
    extra = TWO_EACH if len(before) == len(after) == 2 else 0.0
    parts = ((share / total) ** 2 / (len(side) - 1 + extra)
             for share, side in zip(shares, (before, after), strict=True))  # fmt: skip
    df = 1 / sum(parts) - extra
    t = t_quantile(1 - (1 - confidence) / (2 * looks), df)
    return Interval(estimate, t * math.sqrt(total), df)


def _of_means(*sides: Sequence[float]) -> list[float]:
    """The variance of the mean of each side."""
    return [stdev(side) ** 2 / len(side) for side in sides]


def cochran_cox(before: Sequence[float], after: Sequence[float], below: float) -> float:
    """Return a half-width after Cochran and Cox (1950), in the unit of the values.

    The t of each side, with a share of ``below`` under it, is weighed by what its mean varies.
    Each side has two values or more, and one of them a spread. Source: *Experimental Designs*,
    1950, from memory.
    """
    shares = _of_means(before, after)
    each = [t_quantile(below, len(side) - 1) for side in (before, after)]
    t = math.fsum(share * q for share, q in zip(shares, each, strict=True)) / sum(shares)
    return t * math.sqrt(sum(shares))


def gained_by(
    before: Sequence[float],
    after: Sequence[float],
    confidence: float = CONFIDENCE,
    looks: int = 1,
) -> Interval:
    """Return after less before as ``welch`` does, wider where one side has fewer pulls.

    All values are in one unit. Welch's interval is then too narrow if that side scatters more, and
    Cochran and Cox's too wide if it does not: this one lies between them, by as much as one count
    falls short of the other.
    """
    found = welch(before, after, confidence, looks)
    fewer, more = sorted((len(before), len(after)))
    if fewer == more or not found.half:
        return found
    cautious = cochran_cox(before, after, 1 - (1 - confidence) / (2 * looks))
    share = 1 - fewer / more
    return replace(found, half=(1 - share) * found.half + share * cautious)


def repeatability_deviation(*sides: Sequence[float]) -> float | None:
    """Return s_r, the standard deviation of repeats, pooled over sides (ISO 5725-2).

    In the unit of the values; None when no side has two of them.
    """
    known = [side for side in sides if len(side) > 1]
    freedom = sum(len(side) - 1 for side in known)
    if not freedom:
        return None
    squares = sum((len(side) - 1) * stdev(side) ** 2 for side in known)
    return math.sqrt(squares / freedom)


def repeatability_limit(deviation: float) -> float:
    """Return r = 2.8 s_r, in the unit of the deviation s_r (ISO 5725-6).

    Two single repeats differ by more in one case of twenty.
    """
    return REPEATABILITY * deviation
