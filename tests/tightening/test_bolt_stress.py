"""The stress in a bolt being tightened: what holds whatever the numbers, and VDI 2230's table.

The table itself is compared in test_clamp_load.py, through the same function.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.threads import read_thread
from procedures_lib.engineering.threads.dimensions import dimensions
from procedures_lib.engineering.tightening.bounds import Interval
from procedures_lib.engineering.tightening.clamp_load import (
    clamp_load,
    combined_stress,
    combined_stresses,
    load_at_stress,
)
from procedures_lib.engineering.tightening.friction import bearing_of

THREADS = st.sampled_from(["M5", "M8", "M10x1.25", "M16", "1/4-20", "1/2-20"])


@given(THREADS, st.floats(0.04, 0.5), st.floats(100, 1e5))
def test_torsion_adds_to_tension_and_the_two_invert(
    name: str, friction: float, load: float
) -> None:
    thread = dimensions(read_thread(name))
    stress = combined_stress(load, thread, friction)
    assert stress > load / thread.stress_area
    assert load_at_stress(stress, thread, friction) == pytest.approx(load)
    assert combined_stress(load, thread, friction * 1.2) > stress


def test_worked_by_hand() -> None:
    """M10, 29.6 kN, friction 0.12: 510 MPa tension, 0.9 x 640 MPa in all (VDI 2230, Table A1;
    29.6 kN from memory)."""
    thread = dimensions(read_thread("M10"))
    assert 29_600 / thread.stress_area == pytest.approx(510.3, abs=0.5)
    lever = 1.5 / (2 * math.pi) + 9.026 * 0.12 / (2 * math.cos(math.pi / 6))
    shear = 29_600 * lever / (math.pi / 12 * ((9.026 + 8.160) / 2) ** 3)
    by_hand = math.hypot(510.3, math.sqrt(3) * shear)
    assert combined_stress(29_600, thread, 0.12) == pytest.approx(by_hand, rel=1e-3)
    assert by_hand == pytest.approx(0.9 * 640, rel=2e-3)


@given(THREADS, st.floats(1, 200), st.floats(0, 1))
def test_bounds_hold_the_points_between(name: str, torque: float, at: float) -> None:
    thread = dimensions(read_thread(name))
    bearing = bearing_of("", thread.diameter)
    friction = Interval(0.08, 0.30)
    found = combined_stresses(Interval(torque, torque), thread, friction, bearing)
    between = friction.low + at * (friction.high - friction.low)
    load = clamp_load(torque, thread, between, bearing.mean_diameter.middle)
    assert found.low <= combined_stress(load, thread, between) <= found.high
