"""Torque to clamp load: worked examples and published tables, and what must hold for all.

Sources stand with the rows: Shigley, Mechanical Engineering Design, 9th ed., 8-8; ASME PCC-1-2013;
VDI 2230:2001 as reprinted; a textbook table of K.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.threads import read_thread
from procedures_lib.engineering.threads.dimensions import dimensions
from procedures_lib.engineering.tightening.bounds import Interval, exactly
from procedures_lib.engineering.tightening.clamp_load import (
    clamp_load,
    clamp_loads,
    load_at_stress,
    nut_factors,
    short_clamp_load,
    torque_lever,
)
from procedures_lib.engineering.tightening.friction import bearing_of, friction_for

HERE = Path(__file__).parent
LBF = 4.4482216152605
INCH = 25.4
LBF_IN = 0.1129848290276167
YIELD = {"8.8": 640, "10.9": 940, "12.9": 1100}  # MPa, ISO 898-1:2013, Table 3
RINGS = {"M8": 11.6, "M10": 14.6, "M12": 16.6, "M14": 19.6, "M16": 22.5}
"""Outer diameters of the bearing ring in mm: ISO 4014, dw; M14 from memory."""


def vdi_rows() -> list[dict[str, str]]:
    with (HERE / "vdi_2230_preloads.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("grade", YIELD)
@pytest.mark.parametrize("row", vdi_rows(), ids=lambda row: f"{row['thread']} {row['friction']}")
def test_long_form_and_stress_give_the_tables_of_vdi_2230(row: dict[str, str], grade: str) -> None:
    thread, friction = dimensions(read_thread(row["thread"])), float(row["friction"])
    load = load_at_stress(0.9 * YIELD[grade], thread, friction)
    assert load / 1000 == pytest.approx(float(row[f"load_{grade}_kN"]), rel=0.006)
    size = row["thread"].split("x")[0]
    ring = bearing_of("", thread.diameter)
    diameter = (RINGS[size] + ring.hole) / 2
    torque = load * torque_lever(thread, friction, diameter, friction) / 1000
    assert torque == pytest.approx(float(row[f"torque_{grade}_Nm"]), rel=0.02)


def test_short_form_shigley_8_27() -> None:
    """Ex. 8-3(b): K = 0.2, d = 0.75 in, F = 25 kip takes 3750 lbf·in."""
    load = short_clamp_load(3750 * LBF_IN, 0.2, 0.75 * INCH)
    assert load / LBF == pytest.approx(25_000, rel=1e-9)


def test_long_form_shigley_8_26() -> None:
    """Ex. 8-3(c), 3/4-16 UNF, f = 0.15, collar 1.25 d: K = 0.189 (the answer page from memory).

    Shigley has the helix exactly, VDI 2230 as a sum; they part by less than half a per cent.
    """
    thread = dimensions(read_thread("3/4-16 UNF"))
    lever = torque_lever(thread, 0.15, 1.25 * thread.diameter, 0.15)
    assert lever / thread.diameter == pytest.approx(0.18939, rel=0.005)


@pytest.mark.parametrize(
    "thread", ["M6", "M8", "M10", "M16", "1/4-20 UNC", "1/2-13 UNC", "1-8 UNC"]
)
def test_k_is_about_a_fifth_at_a_friction_of_015(thread: str) -> None:
    """Shigley, 8-8: f = 0.15 gives K of about 0.20, whatever the size (collar 1.25 d)."""
    found = dimensions(read_thread(thread))
    lever = torque_lever(found, 0.15, 1.25 * found.diameter, 0.15)
    assert lever / found.diameter == pytest.approx(0.20, abs=0.015)


@pytest.mark.parametrize(
    ("nut_factor", "torque"), [(0.3, 72.7), (0.25, 60.6), (0.2, 48.5), (0.15, 36.3), (0.1, 24.2)]
)
def test_a_textbook_table_of_k(nut_factor: float, torque: float) -> None:
    """Speck, Mechanical Fastening, Joining, and Assembly, p. 85: 0.190 in screw, 1275 lbf."""
    load = short_clamp_load(torque * LBF_IN, nut_factor, 0.19 * INCH)
    assert load / LBF == pytest.approx(1275, rel=0.003)


@pytest.mark.parametrize(
    ("condition", "torque", "nut_factor"), [("dry", 60, 0.229), ("anti-seize", 45, 0.172)]
)
def test_pcc_1_lies_within_the_bounds(condition: str, torque: float, nut_factor: float) -> None:
    """ASME PCC-1-2013, Table 1: 60 and 45 lbf·ft on 1/2-13 for 50 ksi on the root area."""
    thread = dimensions(read_thread("1/2-13 UNC"))
    load = 50_000 * 0.1257 * LBF
    assert torque * 12 * LBF_IN * 1000 / (thread.diameter * load) == pytest.approx(
        nut_factor, abs=0.001
    )
    bearing = bearing_of("hex 3/4 in", thread.diameter)
    factors = nut_factors(thread, friction_for(condition).range, bearing)
    assert nut_factor in factors
    loads = clamp_loads(
        exactly(torque * 12 * LBF_IN), thread, friction_for(condition).range, bearing
    )
    assert load in loads


MEASURED = {
    "dry": (23.6, 27.6, 28.0, 29.4, 30.3, 30.7, 32.9, 33.8, 33.8, 33.8,
            34.7, 35.6, 35.6, 37.4, 37.8, 37.8, 39.2, 40.0, 40.5, 42.7),
    "oiled": (30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5),
}  # fmt: skip
"""Clamp loads in kN of bolts torqued to 90 N·m, unlubricated and lubricated: Shigley, 9th ed.,
Tables 8-13 and 8-14. That they were 1/2-20 UNF is from memory."""


@pytest.mark.parametrize("condition", MEASURED)
def test_measured_clamp_loads_lie_within_the_bounds(condition: str) -> None:
    thread = dimensions(read_thread("1/2-20 UNF"))
    bearing = bearing_of("hex 3/4 in", thread.diameter)
    loads = clamp_loads(exactly(90), thread, friction_for(condition).range, bearing)
    assert all(1000 * load in loads for load in MEASURED[condition])


THREADS = st.sampled_from(["M5", "M6", "M8", "M8x1", "M10", "M12x1.5", "M20", "1/4-28", "3/4-10"])
TORQUES = st.floats(0.5, 500)
FRICTIONS = st.floats(0.04, 0.5)


@given(THREADS, TORQUES, FRICTIONS, st.floats(1.01, 3))
def test_more_torque_clamps_more_and_more_friction_less(
    thread: str, torque: float, friction: float, more: float
) -> None:
    found = dimensions(read_thread(thread))
    ring = 1.4 * found.diameter
    load = clamp_load(torque, found, friction, ring)
    assert clamp_load(torque * more, found, friction, ring) == pytest.approx(load * more)
    assert clamp_load(torque, found, friction * more, ring) < load
    assert clamp_load(torque, found, friction, ring * more) < load
    assert clamp_load(torque, found, friction, ring, friction * more) < load


@given(THREADS, TORQUES, FRICTIONS, FRICTIONS, st.floats(0, 1), st.floats(0, 1))
def test_bounds_hold_every_point_between(
    thread: str, torque: float, one: float, other: float, at: float, there: float
) -> None:
    found = dimensions(read_thread(thread))
    bearing = bearing_of("", found.diameter)
    friction = Interval(min(one, other), max(one, other))
    loads = clamp_loads(Interval(torque, torque * 1.1), found, friction, bearing)
    ring = bearing.mean_diameter
    point = clamp_load(
        torque * (1 + 0.1 * at),
        found,
        friction.low + at * (friction.high - friction.low),
        ring.low + there * (ring.high - ring.low),
    )
    assert loads.low * (1 - 1e-9) <= point <= loads.high * (1 + 1e-9)


@given(THREADS, FRICTIONS)
def test_the_lever_has_its_three_parts(thread: str, friction: float) -> None:
    """Pitch P/2π, thread friction on the flanks at 30°, friction under the head (ISO 16047)."""
    found = dimensions(read_thread(thread))
    flank = found.pitch_diameter / 2 / math.cos(math.pi / 6)
    parts = found.pitch / (2 * math.pi) + friction * (flank + found.diameter / 2)
    assert torque_lever(found, friction, found.diameter, friction) == pytest.approx(parts)
