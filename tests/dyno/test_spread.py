"""Intervals and repeats, against scipy, R, NIST and ISO 5725-6."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from random import Random
from statistics import stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from procedures_lib.engineering.dyno.gain_interval import (
    cochran_cox,
    gained_by,
    repeatability_deviation,
    repeatability_limit,
    t_below,
    t_quantile,
    welch,
)

HERE = Path(__file__).parent
SIDES = st.lists(st.floats(50, 500), min_size=2, max_size=6)


def sleep() -> tuple[list[float], list[float]]:
    """R's data set ``sleep``: hours of extra sleep in two groups (Student, 1908)."""
    with HERE.joinpath("sleep.csv").open(encoding="utf-8") as file:
        data = list(csv.DictReader(file))
    return [float(row["group1"]) for row in data], [float(row["group2"]) for row in data]


def test_sleep_after_welch() -> None:
    # R, t.test(extra ~ group): t = -1.8608, df = 17.776, 95 % interval [-3.3654832, 0.2054832].
    group1, group2 = sleep()
    found = welch(group2, group1)
    assert found.low == pytest.approx(-3.3654832, abs=5e-8)
    assert found.high == pytest.approx(0.2054832, abs=5e-8)
    assert found.df == pytest.approx(17.776, abs=5e-4)
    assert found.within_noise


def test_two_rows_of_numbers_after_welch() -> None:
    # R, t.test(1:10, y = c(7:20)): df = 21.982, interval [-11.052802, -4.947198].
    found = welch(list(map(float, range(7, 21))), list(map(float, range(1, 11))))
    assert (found.low, found.high) == pytest.approx((-11.052802, -4.947198), abs=5e-7)
    assert found.df == pytest.approx(21.982, abs=5e-4)
    assert not found.within_noise


def with_mean_and_deviation(n: int, mean: float, deviation: float) -> list[float]:
    """A row of numbers with just this mean and standard deviation."""
    away = deviation * math.sqrt((n - 1) / (n - n % 2))
    return [mean + away * (-1) ** k for k in range(n - n % 2)] + [mean] * (n % 2)


def test_auto83b_after_welch() -> None:
    with HERE.joinpath("summaries.csv").open(encoding="utf-8") as file:
        row = {k: v for k, v in next(csv.DictReader(file)).items() if k not in {"id", "source"}}
    given_ = {name: float(text) for name, text in row.items()}
    sides = [
        with_mean_and_deviation(int(given_[f"n{n}"]), given_[f"mean{n}"], given_[f"sd{n}"])
        for n in (1, 2)
    ]
    assert stdev(sides[0]) == pytest.approx(given_["sd1"])
    found = welch(sides[1], sides[0])
    assert found.low == pytest.approx(given_["low"], abs=given_["tolerance"])
    assert found.high == pytest.approx(given_["high"], abs=given_["tolerance"])
    assert found.df == pytest.approx(given_["df"], abs=1e-3)


@given(before=SIDES, after=SIDES)
def test_welch_is_scipys(before: list[float], after: list[float]) -> None:
    found = welch(before, after)
    if min(stdev(before), stdev(after)) < 1e-3 or len(before) == len(after) == 2:
        return  # scipy's moments lose their digits there; two pulls each are counted otherwise
    theirs = stats.ttest_ind(after, before, equal_var=False).confidence_interval(0.95)
    assert found.low == pytest.approx(theirs.low, rel=1e-6, abs=1e-6)
    assert found.high == pytest.approx(theirs.high, rel=1e-6, abs=1e-6)


def test_two_each_lie_between_satterthwaite_and_welch() -> None:
    """Both are published (Satterthwaite 1946; Welch 1947); for other counts it is Satterthwaite."""
    before, after = [100.0, 101.0], [103.0, 104.5]
    shares = [stdev(side) ** 2 / 2 for side in (before, after)]
    satterthwaite, raised = (
        sum(shares) ** 2 / sum(share**2 / (1 + extra) for share in shares) - extra
        for extra in (0, 2)
    )
    found = welch(before, after)
    assert satterthwaite < found.df < raised
    assert found.half == pytest.approx(stats.t.ppf(0.975, found.df) * math.sqrt(sum(shares)))


def test_cochran_and_cox_with_scipys_quantiles() -> None:
    """Their t after Cochran and Cox, Experimental Designs (1950), from memory."""
    before, after = [100.0, 103.0], [110.0, 110.5, 111.5, 110.2]
    shares = [stdev(before) ** 2 / 2, stdev(after) ** 2 / 4]
    t = (shares[0] * stats.t.ppf(0.975, 1) + shares[1] * stats.t.ppf(0.975, 3)) / sum(shares)
    assert cochran_cox(before, after, 0.975) == pytest.approx(t * math.sqrt(sum(shares)), rel=1e-9)


def test_unlike_counts_lie_between_welch_and_cochran_and_cox() -> None:
    before, after = [100.0, 103.0], [110.0, 110.5, 111.5, 110.2]
    ends = welch(before, after).half, cochran_cox(before, after, 0.975)
    assert gained_by(before, after).half == pytest.approx(sum(filter(None, ends)) / 2)
    assert gained_by(before, after[:2]) == welch(before, after[:2])
    assert gained_by(before, [1.0]).half is None


@pytest.mark.parametrize(
    ("counts", "deviations"),
    [((2, 6), (5.0, 1.0)), ((2, 6), (1.0, 1.0)), ((3, 5), (5.0, 1.0)), ((3, 6), (1.0, 5.0))],
)
def test_with_unlike_counts_the_truth_is_held(
    counts: tuple[int, int], deviations: tuple[float, float]
) -> None:
    """93.2 to 98.2 % in long runs: here 2,000, three standard deviations allowed."""
    random = Random(f"{counts} {deviations}")  # noqa: S311 - noise, no secret
    hits = 0
    for _ in range(2000):
        before, after = (
            [random.gauss(0, deviation) for _ in range(count)]
            for count, deviation in zip(counts, deviations, strict=True)
        )
        found = gained_by(before, after)
        hits += found.low <= 0 <= found.high
    assert 0.915 <= hits / 2000 <= 0.991


@pytest.mark.parametrize("probability", [0.5, 0.75, 0.975, 0.995, 0.99975, 0.9999999])
@pytest.mark.parametrize("df", [1.0, 1.37, 2.0, 3.9, 17.776, 136.875, 1e5, math.inf])
def test_the_quantile_is_scipys(probability: float, df: float) -> None:
    theirs = stats.t.ppf(probability, df)
    assert t_quantile(probability, df) == pytest.approx(theirs, rel=1e-8, abs=1e-12)


@given(t=st.floats(0, 50), df=st.floats(0.5, 500))
def test_the_distribution_is_scipys(t: float, df: float) -> None:
    assert t_below(t, df) == pytest.approx(stats.t.cdf(t, df), abs=1e-12)


def test_a_quantile_that_there_is_not() -> None:
    for probability, df in ((0.4, 3.0), (1.0, 3.0), (0.9, 0.0)):
        with pytest.raises(ValueError, match="no quantile"):
            t_quantile(probability, df)


def test_one_pull_tells_of_no_spread() -> None:
    found = welch([100.0], [110.0, 111.0])
    assert (found.estimate, found.half, found.within_noise) == (10.5, None, False)
    assert (found.low, found.high) == (-math.inf, math.inf)


def test_nineteen_intervals_of_twenty_hold_the_truth() -> None:
    random = Random(1)  # noqa: S311 - different scatter on both sides, as Welch allows
    hits = 0
    for _ in range(1500):
        before = [random.gauss(150, 1.0) for _ in range(3)]
        after = [random.gauss(160, 2.0) for _ in range(4)]
        found = welch(before, after)
        hits += found.low <= 10 <= found.high
    assert 0.935 <= hits / 1500 <= 0.975


def test_pulls_without_spread_are_exact() -> None:
    found = welch([100.0, 100.0], [101.0, 101.0])
    assert (found.estimate, found.half, found.within_noise) == (1.0, 0.0, False)


def test_looked_at_together_they_are_wider_after_bonferroni() -> None:
    before, after = [100.0, 101.0, 99.5], [104.0, 105.5, 104.5]
    one, many = welch(before, after), welch(before, after, looks=90)
    assert many.half is not None
    assert one.half is not None
    ratio = stats.t.ppf(1 - 0.025 / 90, one.df) / stats.t.ppf(0.975, one.df)
    assert many.half / one.half == pytest.approx(ratio, rel=1e-9)


def test_the_repeatability_limit() -> None:
    # ISO 5725-6: 2.8 s_r, from 1.96 sqrt(2); figures of a cross-testing report that states both.
    assert 1.96 * math.sqrt(2) == pytest.approx(2.7718, abs=1e-4)
    for deviation, limit in ((0.021, 0.059), (0.042, 0.118), (0.047, 0.132)):
        assert repeatability_limit(deviation) == pytest.approx(limit, abs=6e-4)


def test_the_deviation_of_repeats_is_pooled() -> None:
    sides = [1.0, 2.0, 3.0], [10.0, 14.0]
    squares = 2 * stdev(sides[0]) ** 2 + 1 * stdev(sides[1]) ** 2
    assert repeatability_deviation(*sides) == pytest.approx(math.sqrt(squares / 3))
    assert repeatability_deviation([1.0], [2.0]) is None


def test_an_interval_is_widened_by_the_root_of_the_squares() -> None:
    # GUM (JCGM 100:2008), 5.1.2: what is independent is added as squares.
    found = welch([99.0, 101.0, 100.0], [110.0, 111.0, 112.0])
    assert found.half is not None
    assert found.widened(3.0, -4.0).half == pytest.approx(math.sqrt(found.half**2 + 25))
    assert welch([1.0], [2.0]).widened(3.0).half is None
