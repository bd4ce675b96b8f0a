"""What stands behind a joint's torque, in words."""

from __future__ import annotations

from procedures_lib.engineering.tightening.joint import Verdict
from procedures_lib.engineering.tightening.verdict_words import note_rows, note_summary
from procedures_lib.view.joint import verdict_on
from tests.view.world import judged


def verdict(**changes: str) -> Verdict:
    found = verdict_on(judged(**changes))
    assert found is not None
    return found


def test_a_note_has_a_line_and_the_figures_behind_it() -> None:
    """Stress area and proof load: ISO 898-1, tables 4 and 5, print 36.6 mm² and 21 200 N."""
    rows = dict(note_rows(verdict()))
    assert list(rows) == [
        "Thread",
        "Proof stress",
        "Friction",
        "Clamp load",
        "Share of proof load",
        "Thread strips at",
    ]
    assert rows["Thread"] == "M8x1.25, stress area 36.6 mm²"
    assert rows["Proof stress"] == "580 MPa (8.8), proof load 21.2 kN"
    assert note_summary(verdict()) == f"clamps with {rows['Share of proof load']} of proof load"


def test_a_joint_past_yield_says_so() -> None:
    assert dict(note_rows(verdict(tighten="[22 N·m, +180°]")))["Tightened"] == "past yield"
    assert "Tightened" not in dict(note_rows(verdict()))
