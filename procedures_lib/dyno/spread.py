"""The spread of repeats, and the interval in which a difference lies."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import fmean, stdev
from typing import TYPE_CHECKING

from procedures_lib.dyno.limits import CONFIDENCE
from procedures_lib.dyno.student import t_quantile

if TYPE_CHECKING:
    from collections.abc import Sequence

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

    ``looks`` is how many differences are looked at together: with more than one, the interval is
    widened after Bonferroni, so that all of them hold at once with ``confidence``.
    """
    estimate = fmean(after) - fmean(before)
    if min(len(before), len(after)) < 2:
        return Interval(estimate)
    shares = [stdev(side) ** 2 / len(side) for side in (before, after)]
    total = sum(shares)
    if total == 0:
        return Interval(estimate, 0.0, math.inf)
    parts = ((share / total) ** 2 / (len(side) - 1)
             for share, side in zip(shares, (before, after), strict=True))  # fmt: skip
    df = 1 / sum(parts)
    t = t_quantile(1 - (1 - confidence) / (2 * looks), df)
    return Interval(estimate, t * math.sqrt(total), df)


def repeatability_deviation(*sides: Sequence[float]) -> float | None:
    """Return s_r, the standard deviation of repeats, pooled over sides (ISO 5725-2).

    None when no side has two values.
    """
    known = [side for side in sides if len(side) > 1]
    freedom = sum(len(side) - 1 for side in known)
    if not freedom:
        return None
    squares = sum((len(side) - 1) * stdev(side) ** 2 for side in known)
    return math.sqrt(squares / freedom)


def repeatability_limit(deviation: float) -> float:
    """Return r = 2.8 s_r: two single repeats differ by more in one case of twenty (ISO 5725-6)."""
    return REPEATABILITY * deviation
