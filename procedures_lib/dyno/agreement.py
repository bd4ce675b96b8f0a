"""Power against torque times speed, in a file that has both."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from procedures_lib.dyno.limits import (
    DISAGREE_ROW_SHARE,
    DISAGREE_ROWS_SHARE,
    DISAGREE_SHARE,
)
from procedures_lib.dyno.power import power_kw
from procedures_lib.quantities import unit_named

if TYPE_CHECKING:
    from collections.abc import Sequence

    from procedures_lib.dyno.pull import Rows

_MIX_UPS = (
    ("hp", "PS"), ("kW", "hp"), ("kW", "PS"), ("N·m", "lbf·ft"), ("N·m", "kgf·m"),
)  # fmt: skip
_NEAR = 0.003


@dataclass(frozen=True, slots=True)
class Disagreement:
    """How power and torque differ: the line where most, and the usual ratio of power to torque.

    ``ratio`` is power over torque times speed, 1 when they agree.
    """

    line: int
    ratio: float
    stated_kw: float
    computed_kw: float

    @property
    def meant(self) -> str:
        """What may have been mixed up, "" when the ratio tells nothing."""
        for one, other in _MIX_UPS:
            factor = float(unit_named(one).factor / unit_named(other).factor)
            if abs(self.ratio * factor - 1) < _NEAR or abs(self.ratio / factor - 1) < _NEAR:
                return f"as if {one} and {other} were mixed up"
        return ""


def disagreement(rows: Rows) -> Disagreement | None:
    """Return how the power of a file differs from its torque times speed, None when it doesn't.

    The usual ratio may be off by half a percent, one row in twenty by more than two.
    """
    if not (rows.torque and rows.power):
        return None
    ratios = [
        kw / power_kw(n_m, rpm)
        for rpm, n_m, kw in zip(rows.speed, rows.torque, rows.power, strict=True)
        if n_m > 0 and rpm > 0
    ]
    usual = median(ratios)
    off = sum(abs(ratio - 1) > DISAGREE_ROW_SHARE for ratio in ratios)
    if abs(usual - 1) <= DISAGREE_SHARE and off <= DISAGREE_ROWS_SHARE * len(ratios):
        return None
    return _at(rows, _worst(ratios), usual)


def _worst(ratios: Sequence[float]) -> int:
    return max(range(len(ratios)), key=lambda n: abs(ratios[n] - 1))


def _at(rows: Rows, n: int, usual: float) -> Disagreement:
    computed = power_kw(rows.torque[n], rows.speed[n])
    return Disagreement(rows.lines[n], usual, rows.power[n], computed)
