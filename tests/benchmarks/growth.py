"""Growth: from measurements at several sizes, by how much each grows when the size doubles."""

from __future__ import annotations

from itertools import pairwise
from math import log2


def growth(measured: dict[int, float]) -> dict[tuple[int, int], float]:
    """Return the growth for twice the size, between each size and the next.

    2 is linear; from sizes that are not twice one another it is the exponent's power of two.
    """
    return {
        (small, large): 2 ** (log2(measured[large] / measured[small]) / log2(large / small))
        for small, large in pairwise(sorted(measured))
    }
