"""Intervals: what they refuse, and that they hold every value that they stand for."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.tightening.bounds import Interval, exactly, over, spanning

POSITIVE = st.floats(0.01, 1e4)


@st.composite
def intervals(draw: st.DrawFn) -> Interval:
    return spanning((draw(POSITIVE), draw(POSITIVE)))


@pytest.mark.parametrize(("low", "high"), [(2, 1), (math.nan, 1), (0, math.inf)])
def test_what_is_no_interval_is_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="no interval"):
        Interval(low, high)


def test_sums_and_shares() -> None:
    assert Interval(1, 2) + Interval(10, 20) == Interval(11, 22)
    assert Interval(1, 2) * 3 == Interval(3, 6)
    assert Interval(1, 2) / 2 == Interval(0.5, 1)
    assert exactly(4).middle == 4
    assert 1.5 in Interval(1, 2)
    assert 2.5 not in Interval(1, 2)


@given(intervals(), intervals(), st.floats(0, 1), st.floats(0, 1))
def test_a_monotonic_function_stays_within_its_corners(
    one: Interval, other: Interval, at: float, there: float
) -> None:
    def ratio(top: float, bottom: float) -> float:
        return top / bottom

    found = over(ratio, one, other)
    top = min(one.low + at * (one.high - one.low), one.high)
    bottom = min(other.low + there * (other.high - other.low), other.high)
    assert found.low <= ratio(top, bottom) * (1 + 1e-12)
    assert ratio(top, bottom) <= found.high * (1 + 1e-12)
