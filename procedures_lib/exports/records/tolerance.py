"""How far a reading may be from what a stage asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.quantities import QuantityError, read_quantity
from procedures_lib.tables.torque import TORQUE_UNITS
from procedures_lib.tightening import Stage, StageKind
from procedures_lib.tightening.settings import in_unit

if TYPE_CHECKING:
    from procedures_lib.quantities import Quantity

WIDEST_CLASS = 0.06
"""The deviation of a wrench whose class is not known: the widest of ISO 6789-1:2017, table 2."""

ANGLE_EITHER_WAY = 5.0
"""Degrees by which an angle without a tolerance may be off (common practice, no source)."""

_EXACT = 1e-9


@dataclass(frozen=True, slots=True)
class Limits:
    """The band that a reading has to lie in, in ``unit``, and where it comes from."""

    low: float
    high: float
    unit: str
    why: str

    def hold(self, value: float) -> bool:
        """Tell whether a reading, in the unit of the limits, lies in the band."""
        slack = _EXACT * max(abs(self.low), abs(self.high))
        return self.low - slack <= value <= self.high + slack

    def text(self) -> str:
        """The band in words: ``9.6–10.4 N·m``."""
        space = "" if self.unit == "°" else "\N{NO-BREAK SPACE}"
        if self.low <= 0:
            return f"at most {self.high:.4g}{space}{self.unit}"
        return f"{self.low:.4g}–{self.high:.4g}{space}{self.unit}"


def limits_of(stage: Stage, deviation: float | None = None) -> Limits | None:
    """Return the limits of a stage in N·m or degrees; None where nothing is read.

    A tolerance or range that the page states counts; without one, ``deviation`` of the wrench as a
    share of the torque (0.04 is ±4 %, ISO 6789-1:2017), or the widest class where it is not known.
    """
    amount = stage.amount
    if amount is None:
        return None
    if stage.kind is StageKind.NEXT_SLOT:
        return Limits(0.0, float(amount.exact("N·m")[1]), "N·m", "the page says at most")
    if stage.kind is StageKind.ANGLE:
        return _angle(amount)
    low, high = map(float, amount.exact("N·m"))
    if amount.is_range:
        return Limits(low, high, "N·m", "the page's own tolerance")
    share = WIDEST_CLASS if deviation is None else deviation
    whose = "the widest class of wrench" if deviation is None else "the class of the wrench"
    why = f"±{100 * share:g} %, {whose}"
    return Limits(low * (1 - share), high * (1 + share), "N·m", why)


def _angle(amount: Quantity) -> Limits:
    low, high = map(float, amount.exact("°"))
    if amount.is_range:
        return Limits(low, high, "°", "the page's own tolerance")
    why = f"±{ANGLE_EITHER_WAY:g}°, where the page states no tolerance"
    return Limits(low - ANGLE_EITHER_WAY, high + ANGLE_EITHER_WAY, "°", why)


def reading_amount(value: str, unit: str, *, angle: bool) -> Quantity:
    """Return a reading as a quantity; a decimal comma is read too, ``QuantityError`` else."""
    number = value.strip()
    if number.count(",") == 1 and "." not in number:
        number = number.replace(",", ".")
    if not unit.strip():
        unit = "°" if angle else ""
    found = read_quantity(f"{number} {unit}", "angle" if angle else "torque")
    if found.is_range:
        raise QuantityError("not-a-number", f"`{value}` is not one number", "write what was read")
    return found


def in_units(limits: Limits) -> dict[str, tuple[float, float]]:
    """Return the limits in each unit that a reading may be typed in, for a page to compare with."""
    if limits.unit == "°":
        return {"°": (limits.low, limits.high)}
    return {
        unit: (round(in_unit(limits.low, unit), 4), round(in_unit(limits.high, unit), 4))
        for unit in TORQUE_UNITS
    }
