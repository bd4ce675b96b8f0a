"""Stretch to clamp load against a worked example, and what is found of a stretch."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.threads import read_thread
from procedures_lib.engineering.threads.dimensions import dimensions
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.engineering.tightening.bounds import Interval, exactly
from procedures_lib.engineering.tightening.joint import Joint
from procedures_lib.engineering.tightening.judgement import judge
from procedures_lib.engineering.tightening.stretch import (
    elongation_at,
    lasting_stretch,
    stretch_loads,
)
from tests.tightening.joints import faults_of, verdict_on

INCH, LBF = 25.4, 4.4482216
PSI = LBF / INCH**2


def test_the_bolt_of_a_worked_example() -> None:
    """Shigley, Mechanical Engineering Design, 9th ed., Example 8-4; from memory.

    5/8-11 UNC, grip 1.5 in, A_d = 0.3068 in², A_t = 0.226 in², half of the grip shank and half of
    it thread: k_b = 5.21 Mlbf/in. The preload of 14.4 kip stretches it by 14.4 / 5210 in.
    """
    thread = dimensions(read_thread("5/8-11 UNC"))
    half = 0.75 * INCH
    shank = elongation_at(14_400 * LBF, half, 0.3068 * INCH**2, 30e6 * PSI)
    threaded = elongation_at(14_400 * LBF, half, 0.226 * INCH**2, 30e6 * PSI)
    assert shank + threaded == pytest.approx(14.4 / 5210 * INCH, rel=2e-3)
    loads = stretch_loads(exactly(shank + threaded), thread, exactly(1.5 * INCH))
    assert 14_400 * LBF in loads


def test_strain_at_proof() -> None:
    """830 MPa (ISO 898-1, Table 3, class 10.9) over 205 000 MPa is 0.405 mm in 100 mm."""
    assert elongation_at(830 * 50, 100, 50) == pytest.approx(0.405, abs=5e-4)


def test_what_springs_back_does_not_last() -> None:
    thread = dimensions(read_thread("M9x1.0"))
    load = 1220 * thread.stress_area
    assert lasting_stretch(0.2, thread, load, 44) == 0
    assert lasting_stretch(2.2, thread, load, 44) == pytest.approx((2.2 - 0.44) / 53, rel=0.1)
    wide = stretch_loads(Interval(0.1, 0.2), thread, Interval(40, 48))
    assert wide.low < stretch_loads(exactly(0.15), thread, exactly(44)).low < wide.high


@pytest.mark.parametrize(
    ("stretch", "level"),
    [
        ("0.13–0.16 mm", ""),
        ("0.006 in", ""),
        ("0.06 in", "warning"),
        ("0.6 mm", "warning"),
        ("6 mm", "error"),
        ("0.006 mm", "warning"),
    ],
)
def test_a_stretch_goes_with_the_length_of_its_bolt(stretch: str, level: str) -> None:
    found = faults_of("M9x1.0", "12.9", "25 N·m", f"stretch {stretch}", grip=44.0)
    assert found == ([("stretch-implausible", level)] if level else [])


def test_without_a_grip_nothing_is_found() -> None:
    assert faults_of("M9x1.0", "12.9", "25 N·m", "stretch 6 mm") == []


def test_the_hint_names_the_stretch_at_proof_load() -> None:
    verdict = verdict_on("M10", "10.9", "stretch 5 mm", grip=100.0)
    assert "100 mm of this thread stretch by 0.4 mm at proof load" in verdict.faults[0].hint


def test_words_leave_the_load_unknown() -> None:
    stages = (Stage(StageKind.UNTIL, words="flush"),)
    verdict = judge(Joint(read_thread("M8"), "8.8", stages))
    assert verdict is not None
    assert (verdict.load, verdict.faults) == (None, ())


def test_a_torque_or_slot_may_end_up_to_a_slot_further() -> None:
    plain = verdict_on("M12x1.25", "8.8", "40 N·m", condition="oiled", kind="bolt")
    slot = verdict_on("M12x1.25", "8.8", "40 N·m or next slot", condition="oiled", kind="bolt")
    assert plain.stages[0].load.low == slot.stages[0].load.low
    assert plain.stages[0].load.high < slot.stages[0].load.high
    assert faults_of("M6", "8.8", "89 N·m or next slot") == [("torque-implausible", "error")]
