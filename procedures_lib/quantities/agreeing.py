"""Whether a figure that a source prints agrees with an exact value in another unit."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from procedures_lib.quantities.rounding import MOST_MOVE, steps

if TYPE_CHECKING:
    from procedures_lib.quantities.quantity import Quantity

FACTOR_SLACK = Fraction(2, 10000)
"""What a factor shortened to four digits is off (1.356 N·m for a lbf·ft, 0.1130 for a lbf·in)."""

_COARSE_STEPS = (Fraction(10), Fraction(5))
_FINEST_STEP = Fraction(1, 10**6)
_NUMBERS = re.compile(r"[0-9]+(?:\.([0-9]+))?(/[0-9]+)?")


def agrees(printed: Quantity, exact: Quantity, allowance: Fraction = MOST_MOVE) -> bool:
    """Return whether ``printed``, rounded by its source, agrees with ``exact``, the page's value.

    A printed figure may differ from the exact value, both in the printed unit, by the larger of

    - half a unit of its last printed digit, and
    - half of the coarsest of 10, 5, 1, 0.5, 0.1, … that it is a whole multiple of (figures are
      rounded to what a wrench can be set to: 75 lbf·ft for 100 N·m), but no more than
      ``allowance``, a share of the exact value (2 %, the rule of ``rounding``);

    and by 0.02 % for a factor of four digits. The ends of a range may have been rounded inwards,
    so that they have a whole unit where a single figure has half of one. A plain printed figure is
    held against the nominal value of a tolerance, never against a bare range; a printed range or
    tolerance needs both ends. A figure in the same unit has to be the same. QuantityError
    ``wrong-dimension`` when the two are of different kinds.
    """
    if printed.is_range:
        return exact.is_range and _ends_agree(printed, exact, allowance)
    if exact.is_range and exact.value is None:
        return False
    wanted = exact.exact_nominal(printed.unit)
    if printed.unit == exact.unit:
        return printed.nominal == wanted
    return _near(printed, printed.nominal, wanted, Fraction(1, 2), allowance)


def _ends_agree(printed: Quantity, exact: Quantity, allowance: Fraction) -> bool:
    low, high = exact.exact(printed.unit)
    if printed.unit == exact.unit:
        return (printed.low, printed.high) == (low, high)
    return _near(printed, printed.low, low, Fraction(1), allowance) and _near(
        printed, printed.high, high, Fraction(1), allowance
    )


def _near(
    printed: Quantity, figure: Fraction, exact: Fraction, units: Fraction, allowance: Fraction
) -> bool:
    by_digit = units * _last_digit(printed)
    by_step = min(units * _step_of(figure), allowance * abs(exact))
    return abs(figure - exact) <= max(by_digit, by_step) + FACTOR_SLACK * abs(exact)


def _last_digit(printed: Quantity) -> Fraction:
    """Return the worth of the last printed digit; 0 where a fraction is printed."""
    numbers = _NUMBERS.findall(printed.tidy)
    if any(fraction for _, fraction in numbers):
        return Fraction(0)
    return Fraction(1, 10 ** max(len(decimals) for decimals, _ in numbers))


def _step_of(figure: Fraction) -> Fraction:
    """Return the coarsest step of which a figure is a whole multiple; 0 for 1/3 and the like."""
    for step in (*_COARSE_STEPS, *_steps_down()):
        if (figure / step).denominator == 1:
            return step
    return Fraction(0)


def _steps_down() -> list[Fraction]:
    """Return the steps of the rounding rule, from 1 down to a millionth."""
    found = []
    for step in steps():
        if step < _FINEST_STEP:
            break
        found.append(step)
    return found
