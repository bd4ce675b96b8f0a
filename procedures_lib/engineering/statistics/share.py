"""A share of so many of so many, with its interval, and whether it is smaller than another one.

Sources: E. B. Wilson, Probable inference, the law of succession, and statistical inference, Journal
of the American Statistical Association 22 (1927), 209–212; for the exact test R. A. Fisher,
Statistical Methods for Research Workers, 5th ed. (1934), 21.02. Cited from memory; the tests
compare the figures with SciPy.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist


@dataclass(frozen=True, slots=True)
class Share:
    """``hits`` of ``count``, as a share from 0 to 1 with the ends of its interval."""

    hits: int
    count: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share itself; 0 of none is 0."""
        return self.hits / self.count if self.count else 0.0


def share_of(hits: int, count: int, confidence: float = 0.95) -> Share:
    """Return a share with its interval; nothing is known of none. ValueError for more than all."""
    if not 0 <= hits <= count:
        raise ValueError(f"{hits} of {count} is no share")
    if not count:
        return Share(0, 0, 0.0, 1.0)
    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    p, square = hits / count, z * z
    centre = (p + square / (2 * count)) / (1 + square / count)
    reach = z / (1 + square / count) * math.sqrt(p * (1 - p) / count + square / (4 * count**2))
    low = 0.0 if hits == 0 else max(0.0, centre - reach)
    return Share(hits, count, low, 1.0 if hits == count else min(1.0, centre + reach))


def fewer(now: Share, before: Share) -> float:
    """Return the probability of so few hits now, if nothing has changed since before.

    Given all hits together, one-sided (Fisher's exact test).
    """
    hits, total = now.hits + before.hits, now.count + before.count
    ways = sum(
        math.comb(now.count, n) * math.comb(before.count, hits - n)
        for n in range(max(0, hits - before.count), now.hits + 1)
    )
    return ways / math.comb(total, hits)
