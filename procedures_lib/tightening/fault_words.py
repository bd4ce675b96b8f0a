"""Bolts, loads and shares in the words of a finding."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from procedures_lib.tightening.interval import Interval
    from procedures_lib.tightening.verdict import Basis


def bolt(basis: Basis) -> str:
    """The thread and grade of a joint: "M8x1.25 8.8"."""
    return f"{basis.joint.thread} {basis.strength.grade}"


def kilonewtons(load: float) -> str:
    """A load in N as "21.2 kN"."""
    return f"{load / 1000:.3g} kN"


def percent(share: Interval) -> str:
    """Bounds of a share as "48 to 106 %", to two figures."""
    low, high = (_two_figures(100 * end) for end in (share.low, share.high))
    return f"{low} %" if low == high else f"{low} to {high} %"


def _two_figures(value: float) -> str:
    return f"{float(f'{value:.2g}'):g}"
