"""Many tests at once: each p-value raised so that all of them together seldom give a false alarm.

Source: S. Holm, A simple sequentially rejective multiple test procedure, Scandinavian Journal of
Statistics 6 (1979), 65–70. Cited from memory.
"""

from __future__ import annotations

from collections.abc import Sequence


def holm(chances: Sequence[float]) -> list[float]:
    """Return the p-values of a family of tests, each adjusted for all of them, in their order.

    Whoever acts on those of at most 0.05 is wrong about any of them in at most 5 of 100 families,
    however the tests hang together.
    """
    adjusted = [1.0] * len(chances)
    highest = 0.0
    for rank, n in enumerate(sorted(range(len(chances)), key=chances.__getitem__)):
        highest = max(highest, min(1.0, (len(chances) - rank) * chances[n]))
        adjusted[n] = highest
    return adjusted
