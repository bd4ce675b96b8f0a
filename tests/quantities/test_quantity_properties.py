"""Properties that hold for every quantity, tried on many: exactness, rounding, order."""

from __future__ import annotations

import math
from fractions import Fraction

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from procedures_lib.engineering.quantities import (
    KINDS,
    QuantityError,
    Unit,
    agrees,
    convert,
    find_quantities,
    read_quantity,
    round_inwards,
    round_value,
    units_of,
)
from procedures_lib.engineering.quantities.units import converted

MANY = settings(max_examples=150, deadline=None)
CONVERTIBLE = [kind for kind in KINDS if kind not in ("octane", "temperature")]
NUMBERS = st.decimals(min_value="0.01", max_value="99999", places=2).map(lambda value: f"{value:f}")
FRACTIONS = st.fractions(min_value=Fraction(1, 10**6), max_value=10**9)
TWO_PER_CENT = Fraction(2, 100)


@st.composite
def unit_pairs(draw: st.DrawFn) -> tuple[Unit, Unit]:
    """Two units of one kind."""
    units = units_of(draw(st.sampled_from(CONVERTIBLE)))
    return draw(st.sampled_from(units)), draw(st.sampled_from(units))


@MANY
@given(NUMBERS, unit_pairs())
def test_exact_conversion_there_and_back(number: str, pair: tuple[Unit, Unit]) -> None:
    first, second = pair
    there = read_quantity(f"{number} {first.symbol}").exact(second.symbol)[0]
    assert converted(there, second, first) == Fraction(number)


@MANY
@given(NUMBERS, unit_pairs())
def test_conversion_moves_by_two_per_cent_at_most(number: str, pair: tuple[Unit, Unit]) -> None:
    first, second = pair
    quantity = read_quantity(f"{number} {first.symbol}")
    exact = quantity.exact(second.symbol)[0]
    assert abs(Fraction(convert(quantity, second.symbol).low) - exact) <= TWO_PER_CENT * exact


@MANY
@given(NUMBERS, NUMBERS, unit_pairs())
def test_converted_range_lies_inside_the_exact_one(
    one: str, other: str, pair: tuple[Unit, Unit]
) -> None:
    first, second = pair
    low, high = sorted((one, other), key=Fraction)
    if Fraction(low) == Fraction(high):
        high = f"{int(Fraction(high)) + 1}"
    quantity = read_quantity(f"{low}–{high} {first.symbol}")
    exact_low, exact_high = quantity.exact(second.symbol)
    shown = convert(quantity, second.symbol)
    assert shown.low < shown.high
    if first is not second:
        assert exact_low <= Fraction(shown.low)
        assert Fraction(shown.high) <= exact_high


@MANY
@given(FRACTIONS, FRACTIONS)
def test_rounding_keeps_the_order(one: Fraction, other: Fraction) -> None:
    low, high = sorted((one, other))
    assert round_value(low).low <= round_value(high).low


@MANY
@given(FRACTIONS)
def test_rounding_uses_the_coarsest_step(value: Fraction) -> None:
    rounded = round_value(value)
    assert abs(rounded.low - value) <= TWO_PER_CENT * value
    coarser = rounded.step * (2 if str(rounded.step).strip("/0") == "1/2" else 5)
    if rounded.step < 1:
        assert abs(round(value / coarser) * coarser - value) > TWO_PER_CENT * value


@MANY
@given(FRACTIONS, FRACTIONS)
def test_both_ends_share_one_step(low: Fraction, width: Fraction) -> None:
    inner = round_inwards(low, low + width)
    assert low <= inner.low < inner.high <= low + width
    assert (inner.low / inner.step).denominator == (inner.high / inner.step).denominator == 1


@MANY
@given(NUMBERS, unit_pairs())
def test_our_own_print_agrees_with_its_quantity(number: str, pair: tuple[Unit, Unit]) -> None:
    quantity = read_quantity(f"{number} {pair[0].symbol}")
    exact = quantity.exact(pair[1].symbol)[0]
    if not Fraction(1, 10**4) < exact < 10**10:
        return
    assert agrees(read_quantity(convert(quantity, pair[1].symbol).text), quantity)


@MANY
@given(st.text(alphabet="0123456789 .,/±–-+eE°NmlbftinxX%#to", max_size=30))
def test_any_text_is_read_or_refused_with_a_hint(text: str) -> None:
    try:
        quantity = read_quantity(text)
    except QuantityError as error:
        told = bool(error.message and error.hint)
    else:
        told = quantity.low <= quantity.high
    assert told


@MANY
@given(st.text(max_size=60))
def test_what_is_found_is_in_the_text(text: str) -> None:
    for found in find_quantities(text):
        assert text[found.start : found.end] == found.text
        assert found.kind in KINDS


@st.composite
def rounded_ranges(draw: st.DrawFn) -> tuple[str, str, str]:
    """A range, and its ends in another unit rounded inwards, and outwards by over half a digit."""
    first, second = draw(unit_pairs())
    low = draw(st.fractions(min_value=Fraction(1, 20), max_value=2000, max_denominator=100))
    high = low * draw(st.fractions(min_value=Fraction(21, 20), max_value=4, max_denominator=50))
    decimals = draw(st.integers(0, 3))
    exact = f"{float(low):.2f}–{float(high):.2f} {first.symbol}"
    assume(first != second and Fraction(f"{float(low):.2f}") < Fraction(f"{float(high):.2f}"))
    ends = read_quantity(exact).exact(second.symbol)
    step = Fraction(1, 10**decimals)
    inwards = math.ceil(ends[0] / step), math.floor(ends[1] / step)
    outwards = math.floor(ends[0] / step), math.ceil(ends[1] / step)
    assume(outwards[0] > 0 and inwards[0] < inwards[1])
    assume(any(abs(o * step - e) > step / 2 for o, e in zip(outwards, ends, strict=True)))
    texts = [
        "–".join(f"{float(n * step):.{decimals}f}" for n in pair) for pair in (inwards, outwards)
    ]
    return exact, *(f"{text} {second.symbol}" for text in texts)  # type: ignore[return-value]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(rounded_ranges())
def test_a_range_rounded_inwards_agrees_and_outwards_does_not(ranges: tuple[str, str, str]) -> None:
    """ASTM SI 10: converted limits never leave the original interval, to the last digit."""
    exact, inwards, outwards = map(read_quantity, ranges)
    assert agrees(inwards, exact)
    assert not agrees(outwards, exact)
