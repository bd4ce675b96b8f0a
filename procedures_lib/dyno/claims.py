"""What the kit's maker claims against what was measured: met, not met, or can't tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.dyno.limits import DRIVELINE_SHARE

if TYPE_CHECKING:
    from procedures_lib.dyno.spread import Interval

_LOST = f"{DRIVELINE_SHARE * 100:g}\u00a0%"
MET, NOT_MET, CANT_TELL = "met", "not met", "can't tell"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A claim of a gain beside the gain measured, in one unit; ``word`` is one of the three."""

    quantity: str
    claimed: float
    measured: Interval
    word: str
    why: str


def judge(quantity: str, claimed: float, measured: Interval, *, at_wheels: bool) -> Verdict:
    """Compare a claimed gain with a measured one.

    Met when the whole interval is at or above the claim, not met when all of it is below, else it
    can't be told. A claim that does not say where it holds is meant at the crank: measured
    ``at_wheels`` it is not met only below what the driveline may leave of it.
    """
    least = claimed * (1 - DRIVELINE_SHARE) if at_wheels and claimed > 0 else claimed
    if not measured.is_known:
        return Verdict(quantity, claimed, measured, CANT_TELL, "too few pulls to know the spread")
    if measured.low >= claimed:
        return Verdict(quantity, claimed, measured, MET, "all of the interval is at or above it")
    if measured.high < least:
        why = "all of the interval is below it"
        why += f", less {_LOST} for the driveline" if at_wheels else ""
        return Verdict(quantity, claimed, measured, NOT_MET, why)
    if measured.high < claimed:
        why = f"below it at the wheels by no more than the driveline takes ({_LOST})"
        return Verdict(quantity, claimed, measured, CANT_TELL, why)
    return Verdict(quantity, claimed, measured, CANT_TELL, "the claim lies inside the interval")
