"""An interval between two bounds: what is known of a number that nobody knows exactly."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Interval:
    """All values from ``low`` to ``high``; both finite, ``low`` not above ``high``."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low) and math.isfinite(self.high) and self.low <= self.high):
            raise ValueError(f"no interval: {self.low} to {self.high}")

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high

    def __add__(self, other: Interval) -> Interval:
        return Interval(self.low + other.low, self.high + other.high)

    def __mul__(self, factor: float) -> Interval:
        """Every value times a factor that is not negative."""
        return Interval(self.low * factor, self.high * factor)

    def __truediv__(self, divisor: float) -> Interval:
        return self * (1 / divisor)

    @property
    def middle(self) -> float:
        """The value half-way between the bounds."""
        return (self.low + self.high) / 2


def exactly(value: float) -> Interval:
    """The interval that holds one value."""
    return Interval(value, value)


def spanning(values: Iterable[float]) -> Interval:
    """The smallest interval that holds all these values."""
    found = list(values)
    return Interval(min(found), max(found))


def over(function: Callable[..., float], *arguments: Interval) -> Interval:
    """What a function gives over intervals, if it only rises or only falls in each argument.

    It is worked out at every corner of the box that the intervals make.
    """
    corners: list[tuple[float, ...]] = [()]
    for argument in arguments:
        ends = dict.fromkeys((argument.low, argument.high))
        corners = [(*corner, end) for corner in corners for end in ends]
    return spanning(function(*corner) for corner in corners)
