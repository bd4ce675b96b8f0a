"""Medians, shares and many tests at once, against SciPy and printed examples."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from procedures_lib.engineering.statistics.median import (
    binomial_from,
    binomial_up_to,
    far_out,
    middle,
    sign_test,
)
from procedures_lib.engineering.statistics.several import holm
from procedures_lib.engineering.statistics.share import fewer, share_of
from procedures_lib.engineering.statistics.trend import slope, slope_interval, trend_chance


@given(st.integers(0, 400), st.integers(0, 400), st.floats(0.001, 0.999))
def test_the_binomial_is_that_of_scipy(hits: int, count: int, share: float) -> None:
    hits = min(hits, count)
    lower, upper = stats.binom.cdf(hits, count, share), stats.binom.sf(hits - 1, count, share)
    assert binomial_up_to(hits, count, share) == pytest.approx(lower, rel=1e-8, abs=1e-13)
    assert binomial_from(hits, count, share) == pytest.approx(upper, rel=1e-8, abs=1e-13)


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=120))
def test_the_interval_of_a_median_is_that_of_scipy(values: list[float]) -> None:
    found = middle(values)
    theirs = stats.quantile_test(values, p=0.5).confidence_interval(0.95)
    if found.low is None or found.high is None:
        assert len(values) < 6
    else:
        assert (found.low, found.high) == (theirs.low, theirs.high)


@given(st.lists(st.integers(-5, 5), min_size=1, max_size=60), st.booleans())
def test_the_sign_test_is_the_binomial_test_of_scipy(values: list[int], above: bool) -> None:
    beyond = sum(v > 0 if above else v < 0 for v in values)
    count = sum(v != 0 for v in values)
    theirs = stats.binomtest(beyond, count, 0.5, "greater").pvalue if count else 1.0
    assert sign_test(values, 0, above=above) == pytest.approx(theirs, rel=1e-9)


@given(st.integers(0, 1000), st.integers(1, 1000), st.sampled_from([0.8, 0.95, 0.99]))
def test_the_interval_of_a_share_is_that_of_scipy(hits: int, count: int, confidence: float) -> None:
    hits = min(hits, count)
    theirs = stats.binomtest(hits, count).proportion_ci(confidence, method="wilson")
    found = share_of(hits, count, confidence)
    assert (found.low, found.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


@given(st.integers(0, 40), st.integers(1, 40), st.integers(0, 40), st.integers(1, 40))
def test_fewer_is_the_exact_test_of_scipy(hits: int, count: int, hits_b: int, count_b: int) -> None:
    now, before = share_of(min(hits, count), count), share_of(min(hits_b, count_b), count_b)
    table = [[each.hits, each.count - each.hits] for each in (now, before)]
    theirs = stats.fisher_exact(table, alternative="less").pvalue
    assert fewer(now, before) == pytest.approx(theirs, rel=1e-9)


def test_nothing_is_known_of_none() -> None:
    assert (share_of(0, 0).low, share_of(0, 0).high) == (0, 1)
    with pytest.raises(ValueError, match="3 of 2"):
        share_of(3, 2)
    with pytest.raises(ValueError, match="nothing"):
        middle([])


@pytest.mark.parametrize(("count", "ends"), [(5, None), (6, (1, 6)), (16, (4, 13)), (20, (6, 15))])
def test_the_places_of_the_order_statistics(count: int, ends: tuple[int, int] | None) -> None:
    """Binomial(1/2) of 16: 0.0106 up to 3, so 4th and 13th; 20: 0.0207 up to 5 (binomial table)."""
    found = middle(range(1, count + 1))
    assert ((found.low, found.high) if found.low else None) == ends


def test_the_interval_holds_the_median_as_often_as_it_says() -> None:
    held, rng = 0, random.Random(5)  # noqa: S311
    for _ in range(2000):
        found = middle([rng.lognormvariate(0, 1) for _ in range(25)])
        assert found.low is not None
        assert found.high is not None
        held += found.low <= 1 <= found.high
    assert 0.94 <= held / 2000 <= 0.975  # 25 values: 95.7 % by the binomial


def test_holm_by_hand() -> None:
    assert holm([0.01, 0.04, 0.03, 0.005]) == pytest.approx([0.03, 0.06, 0.06, 0.02])
    assert holm([0.9, 0.8]) == [1.0, 1.0]
    assert holm([]) == []


def test_false_alarms_of_a_family_stay_at_the_rate() -> None:
    rng = random.Random(6)  # noqa: S311
    alarms = sum(min(holm([rng.random() for _ in range(50)])) <= 0.05 for _ in range(2000))
    assert 0.03 <= alarms / 2000 <= 0.065


def test_far_outliers() -> None:
    """Quarters 3 and 7 of 1…9: far out is below 3 − 12 or above 7 + 12."""
    assert far_out([*range(1, 10)]) == []
    assert far_out([1, 2, 3, 4, 5, 6, 7, 8, 40]) == [8]
    assert far_out([1, 1, 1, 100]) == []


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(-9, 9)), min_size=10, max_size=40))
def test_a_trend_is_that_of_scipy(points: list[tuple[int, int]]) -> None:
    times, values = [at for at, _ in points], [value for _, value in points]
    if len(set(times)) > 1:
        theirs = stats.theilslopes(values, times)
        assert slope(times, values) == pytest.approx(theirs.slope, abs=1e-12)
        if not math.isnan(theirs.low_slope):
            ends = (theirs.low_slope, theirs.high_slope)
            assert slope_interval(times, values) == pytest.approx(ends, abs=1e-12)
        if len(set(values)) > 1:
            chance = stats.kendalltau(times, values, method="asymptotic").pvalue
            assert trend_chance(times, values) == pytest.approx(chance, rel=1e-9)
    else:
        assert (slope(times, values), trend_chance(times, values)) == (0, 1)


def test_no_trend_is_told_of_a_few_values() -> None:
    assert trend_chance(range(9), range(9)) == 1
    assert slope_interval(range(9), range(9)) is None
    assert trend_chance(range(10), range(10)) < 1e-4
