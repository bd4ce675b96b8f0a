"""Pulls in turns: the gain against numpy's least squares, the interval against HC2."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from procedures_lib.engineering.dyno.drift import Turns, in_turns, turns_of

BEFORE, AFTER = [0.0, 20.0, 40.0], [10.0, 30.0, 50.0]
VALUES = st.lists(st.floats(100, 200), min_size=6, max_size=6)


def design(before: list[float], after: list[float]) -> np.ndarray:
    """One, the side, the minutes."""
    side = [0.0] * len(before) + [1.0] * len(after)
    return np.column_stack([np.ones(len(side)), side, [*before, *after]])


@given(VALUES)
def test_the_gain_is_numpys_least_squares(values: list[float]) -> None:
    turns = turns_of(BEFORE, AFTER)
    found = turns.gain(values[:3], values[3:])
    theirs, *_ = np.linalg.lstsq(design(BEFORE, AFTER), np.array(values), rcond=None)
    assert found.estimate == pytest.approx(theirs[1], abs=1e-8)


@given(VALUES)
def test_the_variance_is_hc2(values: list[float]) -> None:
    """MacKinnon and White (1985): the sandwich with each residual by its own leverage."""
    x, y = design(BEFORE, AFTER), np.array(values)
    inverse = np.linalg.inv(x.T @ x)
    hat = x @ inverse @ x.T
    left = y - hat @ y
    middle = np.diag(left**2 / (1 - np.diag(hat)))
    variance = (inverse @ x.T @ middle @ x @ inverse)[1, 1]
    found = turns_of(BEFORE, AFTER).gain(values[:3], values[3:])
    if variance < 1e-6:
        return
    assert found.half == pytest.approx(stats.t.ppf(0.975, found.df) * math.sqrt(variance), rel=1e-6)


def test_a_straight_drift_is_gone() -> None:
    before = [150 - 0.1 * at for at in BEFORE]
    after = [160 - 0.1 * at for at in AFTER]
    found = turns_of(BEFORE, AFTER).gain(before, after)
    assert found.estimate == pytest.approx(10)
    assert found.half == 0.0


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ([0, 20], [10], True),
        ([0, 20, 40], [10, 30, 50], True),
        ([0, 10, 20], [60, 70, 80], False),
        ([60, 70], [0, 10, 20], False),
    ],
)
def test_turns(before: list[float], after: list[float], expected: bool) -> None:
    assert in_turns(before, after) is expected
    if not expected:
        with pytest.raises(ValueError, match="not in turns"):
            turns_of(before, after)


def test_three_pulls_in_turns_have_no_interval() -> None:
    found = turns_of([0, 20], [10]).gain([150, 148], [159])
    assert found.estimate == pytest.approx(10)
    assert found.half is None


@pytest.mark.parametrize("scatter", [(1.0, 1.0), (0.3, 1.5)])
def test_nineteen_of_twenty_hold_the_truth_under_drift(scatter: tuple[float, float]) -> None:
    random = Random(5)  # noqa: S311 - noise, no secret
    turns = turns_of(BEFORE, AFTER)
    held = sum(holds(turns, random, scatter) for _ in range(3000))
    assert 0.93 <= held / 3000 <= 0.972


def holds(turns: Turns, random: Random, scatter: tuple[float, float]) -> bool:
    before = [150 - 0.1 * at + random.gauss(0, scatter[0]) for at in BEFORE]
    after = [160 - 0.1 * at + random.gauss(0, scatter[1]) for at in AFTER]
    found = turns.gain(before, after)
    return found.low <= 10 <= found.high
