"""Scales of a chart: round ticks, and values to places on paper."""

from __future__ import annotations

import math
from dataclasses import dataclass

_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale from ``low`` to ``high``, drawn from ``start`` to ``end``, with ticks."""

    low: float
    high: float
    start: float
    end: float
    ticks: tuple[float, ...]

    def place(self, value: float) -> float:
        """Return where a value lies on paper, to a tenth."""
        share = (value - self.low) / (self.high - self.low)
        return round(self.start + share * (self.end - self.start), 1)


def ticks_between(low: float, high: float, about: int) -> tuple[float, ...]:
    """Return round numbers, about so many, that lie between two values.

    They step by 1, 2, 2.5 or 5 times a power of ten.
    """
    rough = (high - low) / max(about, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(size * power for size in _STEPS if size * power >= rough * (1 - 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(n * step for n in range(first, last + 1))


def scale(low: float, high: float, start: float, end: float, about: int) -> Scale:
    """Return a scale that holds both values; a scale without length is given one."""
    if not high > low:
        low, high = low - 1, high + 1
    return Scale(low, high, start, end, ticks_between(low, high, about))


def rounded_up(value: float, about: int) -> float:
    """Return the next tick above a positive value, so that a curve ends below its frame."""
    ticks = ticks_between(0, value, about)
    step = ticks[1] - ticks[0] if len(ticks) > 1 else value
    return step * math.ceil(value / step + 1e-9)


def tick_text(value: float) -> str:
    """Return a tick as a reader wants it: no trailing zeros, a true minus."""
    return f"{round(value, 10):g}".replace("-", "\u2212")
