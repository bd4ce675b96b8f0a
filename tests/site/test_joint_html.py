"""A joint's note on the site: folded away in its row, rebuilt exactly when it changes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from procedures_lib.fronts.site.table_html import joint_html
from tests.site.building import VEHICLE, SmallManual

MOST_BYTES = 700
"""What one note may add to a page before it is compressed."""


@pytest.fixture
def small(tmp_path: Path) -> SmallManual:
    return SmallManual(tmp_path / "manual")


def test_a_note_unfolds_without_script_and_is_escaped() -> None:
    assert joint_html("clamps with 30 to 79 % of proof load", [("Thread", "M8 <fine>")]) == (
        '<details class="joint-note"><summary>clamps with 30 to 79 % of proof load</summary>'
        '<dl class="joint-facts"><div><dt>Thread</dt><dd>M8 &lt;fine&gt;</dd></div></dl></details>'
    )


def test_each_judged_joint_has_its_note_in_its_row(small: SmallManual) -> None:
    page = small.build().page("lift-cover")
    (note,) = re.findall(r'<details class="joint-note">.*?</details>', page, re.DOTALL)
    assert "580\u00a0MPa (8.8), proof load 11.7\u00a0kN" in note  # ISO 898-1: 580 MPa over 20.1 mm²
    row = page[page.index('id="fastener-cover-bolts"') :].split("</tr>")[0]
    assert note in row
    assert len(note.encode()) < MOST_BYTES


def test_a_changed_class_rebuilds_the_page_that_shows_the_note(small: SmallManual) -> None:
    small.build()
    small.change("hatch.md", 'class: "8.8"', 'class: "10.9"')
    built = small.build()
    assert built.read == ["hatch", "lift-cover"]
    assert "830\u00a0MPa (10.9)" in built.page("lift-cover")


def test_a_joint_of_no_known_strength_has_none(small: SmallManual) -> None:
    small.write("hatch.md", VEHICLE.replace('"8.8"', "unknown"))
    assert "joint-note" not in small.build().page("lift-cover")
