"""Converted values: rounded to what can be set on a tool, shown, and held against a printed figure.

A value is rounded to the coarsest of 1, 0.5, 0.1, 0.05, 0.01, … that moves it by no more than 2 %
(half of what a ±4 % torque wrench may be off); a tie goes to the even multiple (NIST SP 811,
B.7.1). The ends of a range are rounded inwards with one step for both (ASTM SI 10), so that the
rounded range never reaches outside the exact one. The arithmetic is exact.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import count, takewhile

from procedures_lib.engineering.quantities.notation import mixed_number
from procedures_lib.engineering.quantities.quantity import Quantity, with_symbol
from procedures_lib.engineering.quantities.units import factor_between, unit_named

MOST_MOVE = Fraction(2, 100)
"""The share of its value by which rounding may move a value."""


@dataclass(frozen=True, slots=True)
class Rounded:
    """A rounded value or range, ``low`` equal to ``high`` for a single value, and its step."""

    low: Fraction
    high: Fraction
    step: Fraction


def steps() -> Iterator[Fraction]:
    """Yield 1, 1/2, 1/10, 1/20, 1/100, … without end."""
    for power in count():
        yield Fraction(1, 10**power)
        yield Fraction(1, 2 * 10**power)


def round_value(exact: Fraction, most_move: Fraction | None = MOST_MOVE) -> Rounded:
    """Return a value rounded to the coarsest step that moves it by no more than ``most_move``.

    ``most_move`` is a share of the value; None rounds to whole numbers (temperatures, whose zero
    is arbitrary, so that a share of them means nothing).
    """
    for step in steps():
        rounded = round(exact / step) * step
        if most_move is None or abs(rounded - exact) <= most_move * abs(exact):
            return Rounded(rounded, rounded, step)
    raise AssertionError("the steps have no end")


def round_inwards(low: Fraction, high: Fraction, most_move: Fraction | None = MOST_MOVE) -> Rounded:
    """Return a range (low < high) with both ends rounded inwards on one step, still low < high.

    ``most_move`` as in ``round_value``; ValueError when ``low`` is not below ``high``.
    """
    if low >= high:
        raise ValueError(f"a range runs from low to high, not from {low} to {high}")
    for step in steps():
        inner_low, inner_high = math.ceil(low / step) * step, math.floor(high / step) * step
        near = most_move is None or (
            inner_low - low <= most_move * abs(low) and high - inner_high <= most_move * abs(high)
        )
        if near and inner_low < inner_high:
            return Rounded(inner_low, inner_high, step)
    raise AssertionError("the steps have no end")


def as_decimal(value: Fraction, step: Fraction) -> Decimal:
    """Return a multiple of ``step`` as a decimal with the digits that the step calls for."""
    decimals = 0
    while (step * 10**decimals).denominator != 1:
        decimals += 1
    return Decimal(int(value * 10**decimals)).scaleb(-decimals)


TORQUE_LEADS = "N·m"
TORQUE_UNITS = (TORQUE_LEADS, "lbf·ft", "lbf·in")
"""The units in which tables show a torque."""
FOOT_UNITS_FROM = 20
"""From this many N·m up the customary unit is lbf·ft, below it lbf·in."""

_FRACTIONS_BELOW = Fraction(100, 1000)
_FRACTION_MOVE = Fraction(1, 100)
_DENOMINATORS = (2, 4, 8, 16, 32)


@dataclass(frozen=True, slots=True)
class Converted:
    """A converted value or range, rounded; for reading only, never converted again.

    ``low`` equals ``high`` for a single value; ``text`` shows it: ``89 lbf·in``, ``98–115 lbf·in``.
    """

    low: Decimal
    high: Decimal
    unit: str
    text: str

    @property
    def is_range(self) -> bool:
        """Whether it has two ends."""
        return self.low != self.high

    def __str__(self) -> str:
        return self.text


@lru_cache(maxsize=4096)
def convert(q: Quantity, unit: str) -> Converted:
    """Return a quantity in another unit of its kind, rounded as said above.

    In its own unit it stays as written. Temperatures are rounded to whole degrees. QuantityError
    ``wrong-dimension`` when the unit is of another kind, ``no-unit`` when it is unknown.
    """
    low, high = q.exact(unit)
    symbol = unit_named(unit).symbol
    if symbol == q.unit:
        return Converted(_decimal(low), _decimal(high), symbol, q.tidy)
    rounded = _rounded(low, high, None if q.kind == "temperature" else MOST_MOVE)
    ends = as_decimal(rounded.low, rounded.step), as_decimal(rounded.high, rounded.step)
    return Converted(*ends, symbol, with_symbol(_range_text(*ends), symbol))


def share_of(q: Quantity, share: Fraction) -> Quantity:
    """Return a share of a quantity: its values exact, its text rounded as a converted one's."""
    low, high = q.low * share, q.high * share
    rounded = _rounded(low, high, MOST_MOVE)
    ends = as_decimal(rounded.low, rounded.step), as_decimal(rounded.high, rounded.step)
    text = with_symbol(_range_text(*ends), q.unit)
    value = None if q.value is None else q.value * share
    return Quantity(text, q.unit, q.kind, value, low, high, text)


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


def _rounded(low: Fraction, high: Fraction, most_move: Fraction | None) -> Rounded:
    if low == high:
        return round_value(low, most_move)
    return round_inwards(low, high, most_move)


def _range_text(low: Decimal, high: Decimal) -> str:
    ends = [f"{end:f}".replace("-", "\u2212") for end in (low, high)]
    if low == high:
        return ends[0]
    return "–".join(ends) if low >= 0 else "\u00a0to\u00a0".join(ends)


def customary_torque_unit(q: Quantity) -> str:
    """Return the unit beside a torque's N·m: its own, or lbf·in below 20 N·m, else lbf·ft."""
    return q.unit if q.unit != TORQUE_LEADS else customary_unit(q.nominal)


def customary_unit(torque: Fraction | float) -> str:
    """Return the customary unit of a torque in N·m: lbf·in below 20 N·m, else lbf·ft."""
    return "lbf·in" if torque < FOOT_UNITS_FROM else "lbf·ft"


def customary(q: Quantity) -> str:
    """Return the text that stands in brackets after a quantity, or "" when none does.

    A length under 100 mm in mm becomes a common fraction of an inch (the coarsest of halves to
    thirty-seconds that is within 1 % of it), as spanners and drills are marked; other values are
    rounded decimals.
    """
    if q.kind == "torque":
        return convert(q, customary_torque_unit(q)).text
    unit = unit_named(q.unit).customary
    if not unit:
        return ""
    return (unit == "in" and _inch_fraction(q)) or convert(q, unit).text


def _inch_fraction(q: Quantity) -> str:
    exact, _ = q.exact("in")
    if q.is_range or q.exact("m")[0] >= _FRACTIONS_BELOW:
        return ""
    for denominator in _DENOMINATORS:
        near = Fraction(round(exact * denominator), denominator)
        if abs(near - exact) <= _FRACTION_MOVE * abs(exact):
            return with_symbol(mixed_number(near, "-"), "in")
    return ""


@lru_cache(maxsize=4096)
def show_torque(q: Quantity) -> str:
    """Return a torque with N·m first and the customary unit in brackets: ``10 N·m (89 lbf·in)``."""
    return f"{convert(q, TORQUE_LEADS).text} ({customary(q)})"


def with_conversion(q: Quantity) -> str:
    """Return a quantity as written, tidy, with its conversion: ``19 mm (3/4 in)``, ``12 V``."""
    if q.kind == "torque":
        return show_torque(q)
    other = customary(q)
    return f"{q.tidy} ({other})" if other else q.tidy


def figures(value: float) -> str:
    """Return a value with three significant figures: 14.1, 8.57, 120; whole ones from 1000 on."""
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}"


def in_unit(torque: float, unit: str) -> float:
    """Return a torque that is given in N·m in another unit, exact but for the float."""
    return torque * factor_between(TORQUE_LEADS, unit)


def in_newton_metres(torque: float, unit: str) -> float:
    """Return a torque that is given in another unit in N·m, exact but for the float."""
    return torque * factor_between(unit, TORQUE_LEADS)


def one_unit(torque: float, unit: str) -> str:
    """Return a torque that is given in N·m as a text in one unit, to three figures."""
    return with_symbol(figures(in_unit(torque, unit)), unit)


def band_text(low: float, high: float, unit: str) -> str:
    """Return a band that is given in N·m as a text in one unit: ``10.6–11.4 N·m``."""
    return f"{figures(in_unit(low, unit))}–{one_unit(high, unit)}"


FACTOR_SLACK = Fraction(2, 10000)
"""What a factor shortened to four digits is mostly off (1.356 N·m for a lbf·ft)."""

TRADE_FACTORS = {
    ("lbf·ft", "N·m"): "1.356",
    ("lbf·ft", "kgf·m"): "0.1383",
    ("lbf·in", "N·m"): "0.1130",
    ("kgf·m", "N·m"): "9.807",
    ("kgf·m", "lbf·ft"): "7.233",
    ("N·m", "lbf·ft"): "0.7376",
    ("N·m", "lbf·in"): "8.851",
    ("N·m", "kgf·m"): "0.1020",
}
"""The factors of four digits that conversion tables print: the full ones stand in NIST SP 811,
App. B.8; that the trade shortens them so is common practice."""

MOST_OUTSIDE = Fraction(5, 100)
"""The share by which an end that is rounded to the nearest digit may reach outside: manuals print
9–12 N·m for 82–102 lbf·in, 4 % outside. More says something else: 2 kgf·m for 1.1."""

_COARSE_STEPS = (Fraction(10), Fraction(5))
_FINEST_STEP = Fraction(1, 10**6)
_HALF = Fraction(1, 2)
_NUMBERS = re.compile(r"[0-9]+(?:\.([0-9]+))?(/[0-9]+)?")


def agrees(printed: Quantity, exact: Quantity, allowance: Fraction = MOST_MOVE) -> bool:
    """Return whether ``printed``, rounded by its source, agrees with ``exact``, the page's value.

    A printed figure may differ from the exact value, both in the printed unit, by the larger of

    - half a unit of its last printed digit, and
    - half of the coarsest of 10, 5, 1, 0.5, 0.1, … that it is a whole multiple of (figures are
      rounded to what a wrench can be set to: 75 lbf·ft for 100 N·m), but no more than
      ``allowance``, a share of the exact value (2 %, the rule above);

    and by 0.02 % for a factor of four digits. A printed range lies inside the exact one, to its
    last printed digit: each end is rounded inwards, by less than a whole unit or step in place of
    half of one, or reaches outside by no more than half a unit of that digit, and by no more than
    :data:`MOST_OUTSIDE`. Exact is also what one of the :data:`TRADE_FACTORS` gives. A plain printed
    figure is held against the nominal
    value of a tolerance, never against a bare range; a printed range or tolerance needs both ends.
    A figure in the same unit has to be the same. QuantityError ``wrong-dimension`` when the two are
    of different kinds.
    """
    if printed.is_range:
        return exact.is_range and _ends_agree(printed, exact, allowance)
    if exact.is_range and exact.value is None:
        return False
    wanted = exact.exact_nominal(printed.unit)
    if printed.unit == exact.unit:
        return printed.nominal == wanted
    figure = printed.nominal
    return any(
        abs(figure - each) <= _reach(printed, figure, each, _HALF, allowance) + _slack(each)
        for each in (wanted, exact.nominal * _trade_factor(exact, printed.unit))
    )


def reaches_outside(printed: Quantity, exact: Quantity) -> bool:
    """Return whether a printed range that disagrees allows what the exact range does not."""
    if not (printed.is_range and exact.is_range):
        return False
    low, high = exact.exact(printed.unit)
    return (printed.low < low or printed.high > high) and printed.low < high and low < printed.high


def _ends_agree(printed: Quantity, exact: Quantity, allowance: Fraction) -> bool:
    low, high = exact.exact(printed.unit)
    if printed.unit == exact.unit:
        return (printed.low, printed.high) == (low, high)
    factor = _trade_factor(exact, printed.unit)
    by_factor = exact.low * factor, exact.high * factor
    half = _HALF * _last_digit(printed)
    if _lies_in(printed, (low, high), half, allowance):
        return True
    return _lies_in(printed, by_factor, Fraction(0), allowance)


def _lies_in(
    printed: Quantity, exact: tuple[Fraction, Fraction], half: Fraction, allowance: Fraction
) -> bool:
    low, high = exact
    for figure, end, inwards in (
        (printed.low, low, printed.low - low),
        (printed.high, high, high - printed.high),
    ):
        outside = min(half, MOST_OUTSIDE * abs(end))
        if inwards > 0 and inwards >= _reach(printed, figure, end, Fraction(1), allowance):
            return False
        if -inwards > outside:
            return False
    return True


def _trade_factor(q: Quantity, unit: str) -> Fraction:
    """Return the factor of four digits between two units; 0 where the trade has none."""
    return Fraction(TRADE_FACTORS.get((q.unit, unit_named(unit).symbol), 0))


def _reach(
    printed: Quantity, figure: Fraction, exact: Fraction, units: Fraction, allowance: Fraction
) -> Fraction:
    """Return how far rounding may have moved a figure: by its last digit, or by its step."""
    by_step = min(units * _step_of(figure), allowance * abs(exact))
    return max(units * _last_digit(printed), by_step)


def _slack(exact: Fraction) -> Fraction:
    return FACTOR_SLACK * abs(exact)


def _last_digit(printed: Quantity) -> Fraction:
    """Return the worth of the last printed digit; 0 where a fraction is printed."""
    numbers = _NUMBERS.findall(printed.tidy)
    if any(fraction for _, fraction in numbers):
        return Fraction(0)
    return Fraction(1, 10 ** max(len(decimals) for decimals, _ in numbers))


def _step_of(figure: Fraction) -> Fraction:
    """Return the coarsest step of which a figure is a whole multiple; 0 for 1/3 and the like."""
    fine = takewhile(lambda step: step >= _FINEST_STEP, steps())
    whole = (step for step in (*_COARSE_STEPS, *fine) if (figure / step).denominator == 1)
    return next(whole, Fraction(0))
