"""Dimensions against ISO 724, ISO 898-1 and ASME B1.1 as printed, and against two libraries."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from me_toolbox.fasteners import Bolt
from screw_thread_lib import Assembly

from procedures_lib.engineering.threads import Thread, dimensions, read_thread
from tests.threads.reading import label, rows

SQUARE_INCH = 25.4**2
METRIC = rows("metric_threads.csv")
INCH = rows("inch_threads.csv")


@pytest.mark.parametrize("row", METRIC, ids=label)
def test_metric_dimensions_as_printed(row: dict[str, str]) -> None:
    found = dimensions(read_thread(row["designation"]))
    assert f"{found.pitch_diameter:.3f}" == row["d2_mm"]
    assert f"{found.minor_diameter_internal:.3f}" == row["D1_mm"]
    assert f"{found.root_diameter:.3f}" == row["d3_mm"]
    assert float(f"{found.stress_area:.3g}") == float(row["As_mm2"])
    assert found.listed


@pytest.mark.parametrize("row", INCH, ids=label)
def test_inch_stress_areas_as_printed(row: dict[str, str]) -> None:
    # Shigley prints three or four figures; 0.0175 in² of #10-24 is the widest miss, 0.18 %.
    found = dimensions(read_thread(row["designation"]))
    assert found.stress_area / SQUARE_INCH == pytest.approx(float(row["As_in2"]), rel=0.002)
    assert found.listed


# Shigley, 9th ed., Table 8-2: minor-diameter areas A_r (in²); that of 1/2-13 is the root area of
# ASME PCC-1-2013, Table 1, too.
@pytest.mark.parametrize(
    ("text", "root_area"), [("1/2-13 UNC", 0.1257), ("3/4-10 UNC", 0.302), ("1-8 UNC", 0.551)]
)
def test_inch_root_areas_as_printed(text: str, root_area: float) -> None:
    root = dimensions(read_thread(text)).root_diameter / 25.4
    assert math.pi / 4 * root**2 == pytest.approx(root_area, rel=0.001)


@pytest.mark.parametrize("row", METRIC, ids=label)
def test_metric_dimensions_of_a_second_library(row: dict[str, str]) -> None:
    # me-toolbox, MIT licence: geometry of metric bolts.
    thread = read_thread(row["designation"])
    found = dimensions(thread)
    bolt = Bolt(float(thread.diameter), float(thread.pitch), 50, 25, 640, 800, 580, 206e3)
    assert found.stress_area == pytest.approx(bolt.stress_area, rel=1e-5)
    assert found.pitch_diameter == pytest.approx(bolt.pitch_diameter, rel=1e-5)
    assert found.root_diameter == pytest.approx(bolt.minor_diameter, rel=1e-5)


@pytest.mark.parametrize("size", ["1/4-20", "1/4-28", "1/2-13", "1/2-20", "3/4-10", "1-8", "1-12"])
def test_inch_stress_areas_of_a_second_library(size: str) -> None:
    # screw-thread-lib, MIT licence: FED-STD-H28/2B, Table II.B.1, formulas 1a and 1b.
    theirs = Assembly.from_ASME_B11_UN_2A2B(size)
    found = dimensions(read_thread(size)).stress_area / SQUARE_INCH
    assert found == pytest.approx(theirs.As_FEDSTD_1a(), rel=1e-9)
    assert found == pytest.approx(theirs.As_FEDSTD_1b(), rel=1e-9)


@pytest.mark.parametrize("size", ["M8-1.25", "M12-1.75", "M20-2.5", "M24-3"])
def test_metric_stress_areas_after_iso(size: str) -> None:
    # screw-thread-lib: ISO/TR 16224:2012, 4.2.2.2.
    theirs = Assembly.from_database("ASME_M_6g6H", size)
    found = dimensions(read_thread(size.replace("-", "x"))).stress_area / SQUARE_INCH
    assert found == pytest.approx(theirs.As_ISO(), rel=1e-9)


# Printed figures that are wrong: each must be refused by a check against the formula.
@pytest.mark.parametrize(
    ("text", "wrong_mm2", "right_mm2"),
    [
        ("#5-44 UNF", 0.00880 * SQUARE_INCH, 0.00830 * SQUARE_INCH),  # a misprint in Table 8-2
        ("7/16-14 UNC", 0.0163 * SQUARE_INCH, 0.1063 * SQUARE_INCH),  # a digit left out
        ("M8x0.75", 44.2, 41.8),  # a table of fine threads with 0.65 P for 0.9382 P
        ("M10x0.75", 72.7, 67.9),
        ("M12x1", 98.0, 96.1),
        ("M16x1", 182, 178),
        ("M18x2", 216, 204),
        ("M8", 36.13, 36.6),  # the inch constant on a metric thread
    ],
)
def test_misprints_are_told_from_the_right_area(
    text: str, wrong_mm2: float, right_mm2: float
) -> None:
    area = dimensions(read_thread(text)).stress_area
    assert area == pytest.approx(right_mm2, rel=0.005)
    assert area != pytest.approx(wrong_mm2, rel=0.01)


def test_the_minor_diameter_of_m8_is_not_that_of_m8_fine() -> None:
    # A web chart prints 6.917 mm for M8: that belongs to M8x1.
    coarse, fine = dimensions(read_thread("M8")), dimensions(read_thread("M8x1"))
    assert f"{coarse.minor_diameter_internal:.3f}" == "6.647"
    assert f"{fine.minor_diameter_internal:.3f}" == "6.917"


def test_a_size_of_no_table_is_worked_out_and_says_so() -> None:
    assert not dimensions(read_thread("M13x1.5")).listed
    assert not dimensions(read_thread("1/4-27 UNS")).listed


diameters = st.fractions(min_value=2, max_value=60, max_denominator=100)
FAMILIES: st.SearchStrategy[Literal["metric", "inch"]] = st.sampled_from(["metric", "inch"])
shares = st.fractions(min_value=Fraction(1, 20), max_value=Fraction(1, 4), max_denominator=100)


@given(diameters, shares, FAMILIES)
def test_the_diameters_lie_inside_each_other(
    diameter: Fraction, share: Fraction, family: Literal["metric", "inch"]
) -> None:
    found = dimensions(Thread(family, diameter, diameter * share))
    assert found.diameter > found.pitch_diameter > found.minor_diameter_internal
    assert found.minor_diameter_internal > found.root_diameter > 0
    assert math.pi / 4 * found.root_diameter**2 < found.stress_area
    assert found.stress_area < math.pi / 4 * found.pitch_diameter**2


@given(diameters, shares)
def test_the_stress_area_rises_with_diameter_and_falls_with_pitch(
    diameter: Fraction, share: Fraction
) -> None:
    pitch = diameter * share
    area = dimensions(Thread("metric", diameter, pitch)).stress_area
    assert dimensions(Thread("metric", diameter * Fraction(101, 100), pitch)).stress_area > area
    assert dimensions(Thread("metric", diameter, pitch * Fraction(101, 100))).stress_area < area
    # One profile, two conventions: that of inch threads goes deeper.
    assert dimensions(Thread("inch", diameter, pitch)).stress_area < area
