"""Curves: peaks of parabolas, grids and means against scipy and numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, interpolate, ndimage

from procedures_lib.engineering.dyno.curve import (
    common_grid,
    crossings,
    mean_over,
    on_grid,
    peak_of,
    smoothed,
)
from procedures_lib.engineering.dyno.gain import gain_of
from tests.dyno.world import power_peak, torque

SPEEDS = [2000 + 37.0 * n for n in range(110)]


@given(top=st.floats(2200, 5900), bend=st.floats(1e-7, 1e-4), high=st.floats(50, 500))
def test_the_peak_of_a_parabola_is_exact(top: float, bend: float, high: float) -> None:
    values = [high - bend * (rpm - top) ** 2 for rpm in SPEEDS]
    peak = peak_of(SPEEDS, values)
    assert peak.value == pytest.approx(high, rel=1e-9)
    assert peak.at == pytest.approx(top, abs=0.05)
    assert abs(peak.raw_at - top) <= 37 / 2 + 1e-6
    assert peak.raw_value == max(values)


@given(st.lists(st.floats(1, 1000), min_size=3, max_size=50))
def test_the_vertex_is_never_far_above_the_highest_sample(values: list[float]) -> None:
    speeds = SPEEDS[: len(values)]
    peak = peak_of(speeds, values)
    assert peak.raw_value <= peak.value <= peak.raw_value + max(values) / 8 + 1e-9


def test_a_peak_at_the_end_is_told() -> None:
    rising = peak_of(SPEEDS, SPEEDS)
    assert (rising.at_end, rising.at, rising.value) == (True, SPEEDS[-1], SPEEDS[-1])


def test_a_flat_top_is_its_first_sample() -> None:
    assert peak_of([1.0, 2.0, 3.0, 4.0], [1.0, 5.0, 5.0, 1.0]).value == pytest.approx(5.25, abs=0.3)


def test_the_grid_is_what_all_reach() -> None:
    assert common_grid([[2010.0, 2310.0], [1990.0, 2260.0]]) == (2050, 2100, 2150, 2200, 2250)
    assert common_grid([[2000.0, 2100.0], [2000.0, 2100.0]]) == (2000, 2050, 2100)
    assert common_grid([[2000.0, 2100.0], [3000.0, 3100.0]]) == ()


def test_the_grid_is_numpys_interpolation() -> None:
    values = [torque(rpm) for rpm in SPEEDS]
    grid = common_grid([SPEEDS])
    assert on_grid(SPEEDS, values, grid) == pytest.approx(np.interp(grid, SPEEDS, values))


def test_the_mean_is_scipys_area() -> None:
    values = [torque(rpm) for rpm in SPEEDS]
    area = integrate.trapezoid(values, SPEEDS)
    assert mean_over(SPEEDS, values) == pytest.approx(area / (SPEEDS[-1] - SPEEDS[0]))
    assert mean_over([2000.0], [7.0]) == 7.0


def test_smoothing_is_a_moving_mean() -> None:
    speeds = [float(n) for n in range(0, 2000, 10)]
    values = [np.sin(n / 7) + n / 50 for n in range(200)]
    ours = smoothed(speeds, values, 100)
    theirs = ndimage.uniform_filter1d(np.array(values), 11)
    assert list(ours)[5:-5] == pytest.approx(list(theirs)[5:-5])


def test_smoothing_leaves_a_straight_line() -> None:
    line = [3 + rpm / 100 for rpm in SPEEDS]
    assert list(smoothed(SPEEDS, line, 200)) == pytest.approx(line, rel=2e-3)
    assert smoothed(SPEEDS, line, 200)[0] == line[0]


def test_crossings_are_scipys_roots() -> None:
    grid = [float(n) for n in range(2000, 6001, 50)]
    difference = [np.cos(rpm / 500) for rpm in grid]
    roots = interpolate.make_interp_spline(grid, difference, k=1)
    found = crossings(grid, difference)
    assert len(found) == 3
    assert roots(np.array(found)) == pytest.approx([0, 0, 0], abs=1e-9)
    assert found == pytest.approx([np.pi / 2 * n * 500 for n in (3, 5, 7)], abs=2)


def test_curves_that_only_touch_do_not_cross() -> None:
    assert crossings([1.0, 2.0, 3.0], [1.0, 0.0, 1.0]) == ()
    assert crossings([1.0, 2.0, 3.0], [-1.0, 0.0, 1.0]) == (2.0,)


def test_the_gain_of_a_known_engine() -> None:
    grid = common_grid([SPEEDS])
    sides = [
        [(SPEEDS, [torque(r, p) * r / 9549.296585513720 for r in SPEEDS]) for p in peaks]
        for peaks in ((199.0, 200.0, 201.0), (239.0, 240.0, 241.0))
    ]
    gain = gain_of("power", sides[0], sides[1], grid)
    (at, before), (_, after) = power_peak(200.0), power_peak(240.0)
    assert gain.at_peak.estimate == pytest.approx(after - before, abs=1e-3)
    assert gain.before.peak_at == pytest.approx(at, abs=2)
    assert not gain.within_noise
    assert gain.crossings == ()
    assert gain.clear() == ((grid[0], grid[-1]),)
    assert gain.largest == pytest.approx(at, abs=50)
    assert gain.area == pytest.approx(gain.over_band.estimate * (grid[-1] - grid[0]))
