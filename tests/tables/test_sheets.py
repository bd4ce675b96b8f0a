"""Preparation, close-up and handover as values."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.view.closing import close_up, handover, rechecks
from procedures_lib.view.preparation import duration_text, preparation
from tests.tables.world import uses

if TYPE_CHECKING:
    from procedures_lib.manual.shop import Shop


def test_facts_before_the_work(shop: Shop) -> None:
    facts = preparation(uses(), shop).facts
    assert ("Car", "Finch, 2019–2021") in facts
    assert ("Transmission", "manual or automatic") in facts
    assert ("Kit", "Cooler kit (TF-1)") in facts
    assert ("Only for", "tow-eye=absent") in facts
    assert ("Begins with", "as it arrives") in facts


@pytest.mark.parametrize(
    ("when", "seconds", "timed", "steps", "text"),
    [("", 5700, 3, 4, "1 h 35 min"), ("transmission=manual", 5100, 2, 3, "1 h 25 min")],
)
def test_time_is_the_sum_of_the_steps_that_apply(
    shop: Shop, when: str, seconds: float, timed: int, steps: int, text: str
) -> None:
    ready = preparation(uses(when), shop)
    assert (ready.seconds, ready.timed, ready.steps, ready.time_text) == (
        seconds,
        timed,
        steps,
        text,
    )


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 min"),
        (29, "0 min"),
        (60, "1 min"),
        (3599, "1 h"),
        (3600, "1 h"),
        (6000, "1 h 40 min"),
        (90000, "25 h"),
    ],
)
def test_a_time_in_words(seconds: float, text: str) -> None:
    assert duration_text(seconds) == text


def test_people_supplies_tools_and_check_in(shop: Shop) -> None:
    ready = preparation(uses(), shop)
    assert ready.people == 2
    assert ready.supplies == ("Cable tie (in the kit)", "masking tape")
    assert len(ready.check_in.rows) == 6
    assert ready.tools.rows[0].cells[0].text == "trim lever"


def test_hazards_stand_gravest_first_with_their_steps(shop: Shop) -> None:
    met = [
        (m.hazard.id, m.hazard.signal, [s.number for s in m.steps])
        for m in preparation(uses(), shop).hazards
    ]
    ranks = {"DANGER": 4, "WARNING": 3, "CAUTION": 2, "NOTICE": 1}  # ANSI Z535.4-2007, 4.14
    assert [ranks[signal] for _, signal, _ in met] == sorted(
        (ranks[s] for _, s, _ in met), reverse=True
    )
    steps = {name: at for name, _, at in met}
    assert steps["fuel-pressure"] == [1, 4]  # opened, and tested for leaks
    assert steps["battery"] == [1]
    assert steps["raised-vehicle"] == [1]
    assert steps["sharp"] == [1]
    assert steps["spring-energy"] == []


def test_what_must_be_tight_and_which_tests_are_made() -> None:
    closing = close_up(uses())
    tight = [
        (r["joint"], r["stages"].replace("\u00a0", " "), r["steps"], r["when"])
        for r in closing.tight.records()
    ]
    assert tight == [
        ("Sensor screws", "snug, then 4 N·m (35 lbf·in)", "2", ""),
        ("Big bolts", "10 N·m (89 lbf·in), then 22 N·m (16 lbf·ft), then +45°", "4", ""),
        ("Spacer bolts", "12 ± 1 N·m (98–115 lbf·in)", "3", "transmission=automatic"),
    ]
    assert [(r["test"], r["steps"]) for r in closing.tests.records()] == [
        ("Leaks fuel", "4"),
        ("Road", "4"),
    ]


def test_rechecks_are_repeated_on_the_handover_sheet() -> None:
    (text,) = rechecks(uses())
    said = text.replace("\u00a0", " ")
    assert said.startswith("Big bolts: 10 N·m (89 lbf·in), then 22 N·m (16 lbf·ft), then +45°")
    assert said.endswith("after 100 km (62 mi)")
    assert ("Come back", text) in handover(uses()).lines


def test_the_handover_sheet() -> None:
    sheet = handover(uses())
    assert sheet.title == "Fit the cooler"
    lines = [(label, text.replace("\u00a0", " ")) for label, text in sheet.lines]
    assert [line for line in lines if line[0] != "Come back"] == [
        ("Fitted", "Cooler kit (TF-1)"),
        ("Fuel from now on", "at least 93 AKI"),
        ("Calibration", "FC-1 (manual)"),
        ("Calibration", "FC-2 (automatic)"),
        ("Emissions", "EO label; check the year"),
        ("Returned to you", "Old cooler"),
        ("Please note", "Wash the car by hand for a week."),
    ]
