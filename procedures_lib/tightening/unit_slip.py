"""Was another unit meant? The same number in another unit, on the same joint."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from procedures_lib.quantities import unit_named
from procedures_lib.tightening.clamp_load import clamp_loads
from procedures_lib.tightening.interval import Interval, exactly

if TYPE_CHECKING:
    from procedures_lib.quantities import Quantity
    from procedures_lib.tightening.verdict import Basis

_UNITS = ("N·m", "lbf·ft", "lbf·in")
_USUAL = Interval(0.2, 1.0)
"""Geometric middle of the clamp load's bounds on a usual joint, as a share of proof; common
practice."""


def torque_hint(amount: Quantity | None, basis: Basis) -> str:
    """What to look at; the unit first, where the same number in another would be usual."""
    rest = f"the thread ({basis.joint.thread}) and the class ({basis.strength.grade})"
    if amount is None:
        return f"look at {rest}"
    likely = [unit for unit in _UNITS if unit != amount.unit and _usual(amount, unit, basis)]
    if likely:
        units = " or ".join(f"{float(amount.nominal):g} {unit}" for unit in likely)
        return f"look at the unit ({units} would be usual), then at {rest}"
    return f"look at the number, its unit, {rest}"


def _usual(amount: Quantity, unit: str, basis: Basis) -> bool:
    torque = exactly(float(amount.nominal * unit_named(unit).factor))
    load = clamp_loads(torque, basis.thread, basis.friction.range, basis.bearing)
    return math.sqrt(load.low * load.high) / basis.proof_load in _USUAL
