"""Angle to clamp load: Shigley's stiffnesses and the loads that follow, and what holds for all.

Shigley, Mechanical Engineering Design, 9th ed., Table 8-12 (1/2-13, steel, E = 30 Mpsi), Eq. 8-22.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from me_toolbox.fasteners import ThreadedFastener

from procedures_lib.engineering.threads import read_thread
from procedures_lib.engineering.threads.dimensions import dimensions
from procedures_lib.engineering.tightening.angle import (
    angle_for,
    angle_load,
    angle_loads,
    bolt_stiffness,
    frustum_stiffness,
    grip_range,
    overturn,
    parts_stiffness,
    rod_stiffness,
)
from procedures_lib.engineering.tightening.bounds import Interval, exactly
from procedures_lib.engineering.tightening.friction import bearing_of


@pytest.mark.parametrize(("grip", "stiffness"), [(2, 12.6925), (3, 11.3279), (4, 10.6316)])
def test_clamped_parts_shigley_8_22(grip: float, stiffness: float) -> None:
    """Mlbf/in; the equation from memory, the table's 12.69, 11.33, 10.63 seen in print."""
    assert frustum_stiffness(grip, 0.5, 30.0) == pytest.approx(stiffness, abs=1e-3)


@given(st.floats(4, 24), st.floats(0.5, 15), st.floats(1.3, 3))
def test_clamped_parts_as_an_independent_library_has_them(
    diameter: float, grips: float, head: float
) -> None:
    """me-toolbox (MIT): two cones over one layer of steel and one of the same again."""
    grip = grips * diameter
    layers = [[grip / 2, 205e3], [grip / 2, 205e3]]
    theirs = ThreadedFastener.calc_member_stiffness(diameter, head * diameter, grip, layers)
    ours = frustum_stiffness(grip, diameter, 205e3, head * diameter)
    assert ours == pytest.approx(theirs, rel=1e-3)


@pytest.mark.parametrize(("grip", "stiffness"), [(2, 2.57), (3, 1.79), (4, 1.37)])
def test_bolt_shigley_8_17(grip: float, stiffness: float) -> None:
    """Table 8-12: shank to 1.25 in of thread below a bolt of grip + 0.5 in, A_t = 0.1419 in²."""
    length = math.ceil((grip + 7 / 16) * 4) / 4
    threaded = 2 * 0.5 + 0.25
    shank = length - threaded
    springs = (
        rod_stiffness(shank, math.pi / 16, 30.0),
        rod_stiffness(grip - shank, 0.1419, 30.0),
    )
    assert 1 / sum(1 / spring for spring in springs) == pytest.approx(stiffness, abs=0.01)


def test_quarter_turn_on_shigley_s_joint() -> None:
    """The elastic identity on Table 8-12: 90° on 13 threads per inch bring 41 100 lbf."""
    assert angle_load(90, 1 / 13, 2.57e6, 12.69e6) == pytest.approx(41_099.5, abs=0.5)


def test_thirty_degrees_on_a_metric_joint() -> None:
    """M10x1.25, 40 mm grip; both stiffnesses in N/mm by an independent library."""
    assert angle_load(30, 1.25, 352_570, 1_734_642) == pytest.approx(30_522, abs=2)


def test_angle_for_a_load() -> None:
    """Shigley Ex. 8-3 data: 25 kip at C = 0.320 on 16 threads per inch take 32.59°."""
    assert angle_for(25_000, 1 / 16, 6.50e6, 13.8e6) == pytest.approx(32.59, abs=0.01)
    assert angle_load(32.59, 1 / 16, 6.50e6, 13.8e6) == pytest.approx(25_000, rel=1e-3)


THREADS = st.sampled_from(["M6", "M8", "M10", "M12x1.5", "3/8-16", "1/2-13"])


@given(THREADS, st.floats(0.5, 15), st.floats(1, 180))
def test_the_bounds_hold_the_usual_joint(name: str, grips: float, degrees: float) -> None:
    """Steel in steel, half shank and half thread: between the bounds, whatever the grip."""
    thread = dimensions(read_thread(name))
    bearing = bearing_of("", thread.diameter)
    grip = grips * thread.diameter
    full, core = math.pi / 4 * thread.diameter**2, thread.stress_area
    halves = rod_stiffness(grip / 2, full), rod_stiffness(grip / 2, core)
    bolt = 1 / sum(1 / half for half in halves)
    parts = frustum_stiffness(grip, thread.diameter, 205_000)
    usual = angle_load(degrees, thread.pitch, bolt, parts)
    assert usual in angle_loads(exactly(degrees), thread, bearing, exactly(grip))
    assert bolt in bolt_stiffness(thread, exactly(grip))
    assert parts in parts_stiffness(bearing, exactly(grip))


@given(THREADS, st.floats(0.5, 20), st.floats(5, 90))
def test_a_grip_that_is_not_known_has_wider_bounds(name: str, grips: float, degrees: float) -> None:
    thread = dimensions(read_thread(name))
    bearing, turn = bearing_of("", thread.diameter), exactly(degrees)
    known = angle_loads(turn, thread, bearing, grip_range(grips * thread.diameter, thread.diameter))
    unknown = angle_loads(turn, thread, bearing, grip_range(None, thread.diameter))
    assert unknown.low <= known.low * (1 + 1e-9)
    assert known.high <= unknown.high * (1 + 1e-9)


def test_what_a_turn_draws_in_past_yield_stays() -> None:
    """By hand: 360° of 1.5 mm, of which 48.1 kN on 200 kN/mm take 0.24 mm, over 40 + 10 mm."""
    thread = dimensions(read_thread("M10"))
    assert overturn(360, thread, 48_100, 200_000, 40) == pytest.approx((1.5 - 0.2405) / 50)
    assert overturn(30, thread, 48_100, 200_000, 40) == 0
    assert Interval(0, 0.02).high > overturn(180, thread, 48_100, 200_000, 40)
