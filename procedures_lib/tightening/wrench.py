"""Which torque wrench does a stage: the one on whose scale the torque lies nearest the middle."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence


def nearest_to_middle(scales: Sequence[tuple[float, float]], low: float, high: float) -> int | None:
    """Return the index of the scale to use for a torque from ``low`` to ``high``, all in N·m.

    A scale must hold the whole torque. Of those that do, the one is taken on which the middle of
    the torque lies nearest the middle of the scale, as a share of its length (common practice: a
    wrench is at its best in the middle of its scale). None when no scale holds it.
    """
    middle = (low + high) / 2
    fitting = [
        (abs((middle - least) / (most - least) - 0.5), n)
        for n, (least, most) in enumerate(scales)
        if least <= low and high <= most and most > least
    ]
    return min(fitting)[1] if fitting else None
