"""Settings and bands of a torque wrench as text: three figures, in N·m and customary units."""

from __future__ import annotations

from fractions import Fraction

from procedures_lib.quantities import NO_BREAK_SPACE, unit_named

_FOOT_FROM = 20.0
"""From this many N·m up the unit in brackets is lbf·ft, below it lbf·in."""


def figures(value: float) -> str:
    """Return a value with three significant figures: 14.1, 8.57, 120; whole ones from 1000 on."""
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}"


def percent(share: float) -> str:
    """Return a share as per cent: 0.04 is "4 %"."""
    return f"{100 * share:.3g}{NO_BREAK_SPACE}%"


def in_unit(torque: float, unit: str) -> float:
    """Return a torque that is given in N·m in another unit, exact but for the float."""
    one = Fraction(1)
    return torque * float(unit_named("N·m").to_base(one) / unit_named(unit).to_base(one))


def torque_text(torque: float) -> str:
    """Return a torque in N·m with the customary unit: ``14.1 N·m (125 lbf·in)``."""
    return f"{one_unit(torque, 'N·m')} ({one_unit(torque, customary_unit(torque))})"


def customary_unit(torque: float) -> str:
    """Return the unit that stands beside a torque in N·m: lbf·in, from 20 N·m up lbf·ft."""
    return "lbf·ft" if torque >= _FOOT_FROM else "lbf·in"


def one_unit(torque: float, unit: str) -> str:
    """Return a torque that is given in N·m as a text in one unit."""
    return f"{figures(in_unit(torque, unit))}{NO_BREAK_SPACE}{unit}"


def band_text(low: float, high: float, unit: str) -> str:
    """Return a band that is given in N·m as a text in one unit: ``10.6–11.4 N·m``."""
    ends = "–".join(figures(in_unit(torque, unit)) for torque in (low, high))
    return f"{ends}{NO_BREAK_SPACE}{unit}"
