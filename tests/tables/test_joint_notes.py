"""The notes behind a joint's torque: which joints have one, and what it says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.language.entities.car import Fastener
from procedures_lib.view.joint_notes import joint_note, joint_of
from tests.helpers import entity_from

if TYPE_CHECKING:
    from procedures_lib.view.joint_notes import JointNote

PAGE = """
    ```{{fasteners}}
    bolts:
      {{kind: {kind}, thread: M8x1.25, class: {grade}, head: hex 13 mm, condition: dry,
       tighten: {stages}, grip: 1 in, into: {{material: aluminium, engagement: 12 mm}}}}
    ```
    """


def fastener(kind: str = "bolt", grade: str = '"8.8"', stages: str = "[22 N·m]") -> Fastener:
    found = entity_from(PAGE.format(kind=kind, grade=grade, stages=stages), "bolts")
    assert isinstance(found, Fastener)
    return found


def note(**changes: str) -> JointNote:
    found = joint_note(fastener(**changes))
    assert found is not None
    return found


def test_a_note_has_a_line_and_the_figures_behind_it() -> None:
    """Stress area and proof load: ISO 898-1, tables 4 and 5, print 36.6 mm² and 21 200 N."""
    found = note()
    rows = dict(found.rows)
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
    assert found.summary == f"clamps with {rows['Share of proof load']} of proof load"


def test_a_joint_past_yield_says_so() -> None:
    assert dict(note(stages="[22 N·m, +180°]").rows)["Tightened"] == "past yield"
    assert "Tightened" not in dict(note().rows)


@pytest.mark.parametrize(
    "changes",
    [{"kind": "clamp"}, {"grade": "unknown"}, {"grade": '"9.7"'}, {"stages": "hand"}],
)
def test_what_can_not_be_judged_has_no_note(changes: dict[str, str]) -> None:
    assert joint_note(fastener(**changes)) is None


def test_lengths_are_taken_in_millimetres() -> None:
    joint = joint_of(fastener())
    assert joint is not None
    assert (joint.grip, joint.engagement, joint.material) == (25.4, 12.0, "aluminium")


def test_without_stages_there_is_no_joint() -> None:
    text = "```{fasteners}\nbolts: {kind: bolt, thread: M8, class: '8.8'}\n```"
    bare = entity_from(text, "bolts")
    assert isinstance(bare, Fastener)
    assert joint_of(bare) is None
