"""Curves: peaks of parabolas, grids and means against scipy and numpy."""

from __future__ import annotations

from random import Random
from statistics import fmean

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
    smoothed,
)
from procedures_lib.engineering.dyno.gain import gain_of
from procedures_lib.engineering.dyno.peak import peaks_of, settled
from tests.dyno.world import power_peak, torque

SPEEDS = [2000 + 37.0 * n for n in range(110)]


@given(
    top=st.floats(2600, 5500),
    bend=st.floats(1e-6, 1e-4),
    lean=st.floats(-1 / 3000, 1 / 3000),
    high=st.floats(50, 500),
)
def test_the_peak_of_a_cubic_is_exact(top: float, bend: float, lean: float, high: float) -> None:
    """``lean`` is a share of ``bend``: the curve turns again 2000 rpm from its peak, or farther."""
    values = [high - bend * ((rpm - top) ** 2 - lean * (rpm - top) ** 3) for rpm in SPEEDS]
    (peak,) = peaks_of([(SPEEDS, values)])
    if max(values) > high + 1e-6:
        return  # the cubic rises again, farther out
    assert peak.value == pytest.approx(high, rel=1e-9)
    assert peak.at == pytest.approx(top, abs=0.5)
    assert peak.raw_value == max(values)


@given(st.lists(st.floats(100, 200), min_size=20, max_size=110))
def test_the_cubic_is_numpys(values: list[float]) -> None:
    speeds = SPEEDS[: len(values)]
    (peak,) = peaks_of([(speeds, values)])
    window, _ = settled([(speeds, values)])
    inside = [n for n, rpm in enumerate(speeds) if window.low <= rpm <= window.high]
    at = (np.array([speeds[n] for n in inside]) - window.centre) / window.half
    fit = np.polynomial.Polynomial.fit(at, [values[n] for n in inside], 3, domain=[-1, 1])
    assert peak.value == pytest.approx(fit((peak.at - window.centre) / window.half), rel=1e-6)


def test_a_peak_at_the_end_is_told() -> None:
    (rising,) = peaks_of([(SPEEDS, SPEEDS)])
    assert rising.at_end
    assert rising.at == pytest.approx(SPEEDS[-1])
    assert rising.value == pytest.approx(SPEEDS[-1])


@pytest.mark.parametrize(
    "speeds",
    [
        [2000.0, 3000.0, 4000.0, 5000.0, 6000.0],
        [2000.0, 2000.0000000001, 2000.0000000002, 5999.9999999999, 6000.0],
    ],
)
def test_a_pull_of_few_rows_has_a_peak_all_the_same(speeds: list[float]) -> None:
    rows = [100.0, 101.0, 99.0, 98.0, 97.0]
    short = [4100.0 + 20 * n for n in range(30)]
    for side in ([(speeds, rows)], [(speeds, rows), (short, [100.0] * 30)]):
        for peak in peaks_of(side):
            assert 90 < peak.value < 110


def test_noise_does_not_lift_the_peak() -> None:
    """A flat top with 3 % of noise: the highest row reads 5 % too high, the cubic under 0.8 %."""
    random = Random(4)  # noqa: S311 - noise, no secret
    values, highest = [], []
    for _ in range(200):
        rows = [torque(rpm) + random.gauss(0, 6) for rpm in SPEEDS]
        others = [torque(rpm) + random.gauss(0, 6) for rpm in SPEEDS]
        values += [peak.value for peak in peaks_of([(SPEEDS, rows), (SPEEDS, others)])]
        highest.append(max(rows))
    assert fmean(highest) > 209
    assert fmean(values) == pytest.approx(200, rel=0.008)


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
