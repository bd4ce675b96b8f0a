"""Slips of unit: every one that leaves the plausible band is rejected, no usual joint is.

The band is worked out here from the short form alone (T = K d F; Shigley, 9th ed., Eq. 8-27), with
the widest K that charts print, 0.09 (Shigley, Table 8-15) to 0.45, and a little more below;
0.07 where the condition is not said (waxed threads: common practice, no source).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from procedures_lib.engineering.threads import read_thread
from procedures_lib.engineering.threads.bolt_grades import strength
from procedures_lib.engineering.threads.dimensions import dimensions
from tests.tightening.joints import LOW, OVER
from tests.tightening.slips import NUT_FACTORS, SLIPS, Usual, rejected, table, usual_joints

CHAPTER = Path(__file__).resolve().parents[2] / "docs" / "reference" / "joints.md"
LEAST_K, MOST_K = 0.085, 0.45


def plausible(usual: Usual, factor: float) -> bool:
    """Whether some usual K makes the torque a clamp load between a tenth of proof and proof."""
    thread = read_thread(usual.thread)
    found, size = strength(usual.grade, thread), dimensions(thread)
    assert found is not None
    share = usual.torque * factor * 1000 / size.diameter / (found.proof_stress * size.stress_area)
    least = 0.07 if usual.condition == "not said" else LEAST_K
    return share / MOST_K < 1 and share / least > 0.1


def test_no_usual_joint_is_rejected() -> None:
    assert [usual for usual in usual_joints() if usual.findings()] == []


@pytest.mark.parametrize("slip", SLIPS)
def test_every_slip_out_of_the_band_is_rejected(slip: str) -> None:
    factor = SLIPS[slip]
    level = OVER if factor > 1 else LOW
    outside = [usual for usual in usual_joints() if not plausible(usual, factor)]
    assert [usual for usual in outside if usual.findings(factor) != [level]] == []
    assert bool(outside) == (not 0.5 < factor < 2)


def test_inches_for_feet_and_for_newton_metres_are_always_rejected() -> None:
    """A torque that is meant in lbf·in, read as lbf·ft or N·m, is what strips threads."""
    for slip in ("lbf·in read as lbf·ft", "lbf·in read as N·m"):
        assert rejected(slip) == dict.fromkeys(NUT_FACTORS, 1.0)


def test_feet_for_inches_are_mostly_rejected() -> None:
    found = rejected("lbf·ft read as lbf·in")
    assert found["dry"] == 1
    assert found.pop("not said") == 0
    assert min(found.values()) > 0.6


def test_newton_metres_for_pound_feet_can_not_be_seen() -> None:
    """A factor of 1.36 is less than what friction alone does; the docs say so."""
    for slip in ("N·m read as lbf·ft", "lbf·ft read as N·m"):
        assert rejected(slip) == dict.fromkeys(NUT_FACTORS, 0.0)


def test_the_chapter_shows_what_was_counted() -> None:
    shown = "\n".join(table())
    assert shown in CHAPTER.read_text("utf-8"), "run: python -m tests.tightening.slips"
