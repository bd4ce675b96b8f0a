"""The torque table as values."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.tables.procedure_tables import torque_table
from procedures_lib.fronts.tables.words import thread_text
from procedures_lib.language.entities.car import Fastener
from tests.helpers import entity_from, slips_of
from tests.tables.samples import record, row
from tests.view.world import PAGES, uses

if TYPE_CHECKING:
    from procedures_lib.manual.shop import Shop


def test_the_pages_read_without_a_finding() -> None:
    kinds = {"unreadable-block", "unknown-id", "wrong-verb", "missing-field", "unknown-field"}
    assert [found for found in slips_of(PAGES) if found.check in kinds] == []


def test_a_row_says_all_about_a_joint(shop: Shop) -> None:
    assert record(torque_table(uses(), shop), "Big bolts") == {
        "fastener": "Big bolts",
        "count": "4 ×",
        "thread": "M8x1.25, 10.9, left-hand thread, at ride height",
        "tool": "13 mm socket, 150 mm extension, Wrench 5–25 N·m, angle gauge",
        "N·m": "10 N·m, then 22 N·m, then +45°",
        "lbf·ft": "7.5 lbf·ft, then 16 lbf·ft, then +45°",
        "lbf·in": "89 lbf·in, then 195 lbf·in, then +45°",
        "order": "ll, ur, lr, ul; stage 3: ul, lr, ur, ll",
        "hardware": "new, from the kit",
        "condition": "dry",
        "recheck": "after 100 km",
        "source": "Maker's sheet, page 7",
        "steps": "2, 4",
        "when": "",
    }


def test_joints_stand_in_the_order_of_their_first_step(shop: Shop) -> None:
    names = [each.cells[0].text for each in torque_table(uses(), shop).rows]
    assert names == ["Sensor screws", "Big bolts", "Spacer bolts"]


def test_clips_and_fasteners_that_are_only_taken_out_are_no_joints(shop: Shop) -> None:
    names = {each.cells[0].text for each in torque_table(uses(), shop).rows}
    assert not names & {"Clips", "Cooler bolts"}


def test_single_use_hardware(shop: Shop) -> None:
    screws = record(torque_table(uses(), shop), "Sensor screws")
    assert (screws["hardware"], screws["N·m"]) == ("new every time", "snug, then 4 N·m")


def test_a_joint_of_some_cars_says_which(shop: Shop) -> None:
    spacers = record(torque_table(uses(), shop), "Spacer bolts")
    assert (spacers["when"], spacers["N·m"]) == ("transmission=automatic", "12 ± 1 N·m")
    assert spacers["lbf·in"] == "98–115 lbf·in"


@pytest.mark.parametrize(
    ("when", "has"), [("transmission=manual", False), ("transmission=automatic", True)]
)
def test_filtered_by_variant(shop: Shop, when: str, has: bool) -> None:
    names = [each.cells[0].text for each in torque_table(uses(when), shop).rows]
    assert ("Spacer bolts" in names) is has


def test_rows_can_be_linked_to_and_link_to_their_steps(shop: Shop) -> None:
    bolts = row(torque_table(uses(), shop), "Big bolts")
    assert bolts.anchor == "fastener:big-bolts"
    assert [(run.text, run.target) for run in bolts.cells[-1].runs] == [
        ("2", "step:2"),
        (", ", ""),
        ("4", "step:4"),
    ]


@pytest.mark.parametrize(
    ("class_", "shown"),
    [("8", "class 8"), ("unknown", "class unknown"), ("8.8", "8.8"), ("grade 5", "grade 5")],
)
def test_a_class_that_is_a_number_alone_is_called_so(class_: str, shown: str) -> None:
    text = f'```{{fasteners}}\nx: {{kind: nut, thread: M8x1.25, class: "{class_}"}}\n```\n'
    nut = entity_from(text, "x")
    assert isinstance(nut, Fastener)
    assert thread_text(nut) == f"M8x1.25, {shown}"
