"""Preparation, closing and hand-over as tables and in words."""

from __future__ import annotations

import pytest

from procedures_lib.fronts.tables.procedure_tables import (
    car_facts,
    check_in_table,
    handover_lines,
    supply_text,
    table_of_tests,
    tight_table,
    tool_table,
)
from procedures_lib.fronts.tables.words import duration_text, recheck_text, work_facts
from procedures_lib.manual.shop import Shop
from procedures_lib.view.closing import closing, handover
from procedures_lib.view.preparation import preparation
from tests.view.world import uses


def test_facts_before_the_work(shop: Shop) -> None:
    facts = car_facts(preparation(uses(), shop))
    assert facts[0] == ("Only for", "tow-eye=absent")
    assert ("Tow eye", "absent") in facts  # no fitted one: the work is not for it
    assert ("Car", "Finch, 2019–2021") in facts
    assert ("Transmission", "manual or automatic") in facts
    assert ("Kit", "Cooler kit (TF-1)") in facts
    assert ("Begins with", "as it arrives") in facts


def test_facts_without_the_options_of_the_car(shop: Shop) -> None:
    ready = preparation(uses(), shop)
    labels = [label for label, _ in car_facts(ready)]
    left = [label for label, _ in car_facts(ready, options=False)]
    assert [label for label in labels if label not in left] == ["Transmission", "Tow eye"]


@pytest.mark.parametrize(
    ("when", "steps", "time"),
    [
        ("", "4", "1 h 35 min, and 1 steps without a time"),
        ("transmission=manual", "3", "1 h 25 min, and 1 steps without a time"),
    ],
)
def test_how_much_work_it_is(shop: Shop, when: str, steps: str, time: str) -> None:
    assert work_facts(preparation(uses(when), shop)) == (
        ("Steps", steps),
        ("Time", time),
        ("People", "2"),
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


def test_supplies_tools_and_check_in(shop: Shop) -> None:
    ready = preparation(uses(), shop)
    assert [*map(supply_text, ready.supplies)] == ["Cable tie (in the kit)", "masking tape"]
    assert len(check_in_table(ready.check_in).rows) == 6
    assert tool_table(ready.tools).rows[0].cells[0].text == "trim lever"


def test_what_must_be_tight_and_which_tests_are_made() -> None:
    last = closing(uses())
    tight = [
        (r["joint"], r["count"], r["stages"].replace("\u00a0", " "), r["steps"], r["when"])
        for r in tight_table(last).records()
    ]
    assert tight == [
        ("Sensor screws", "2 ×", "snug, then 4 N·m (35 lbf·in)", "2", ""),
        ("Big bolts", "4 ×", "10 N·m (89 lbf·in), then 22 N·m (16 lbf·ft), then +45°", "4", ""),
        ("Spacer bolts", "1 ×", "12 ± 1 N·m (98–115 lbf·in)", "3", "transmission=automatic"),
    ]
    assert [(r["test"], r["steps"]) for r in table_of_tests(last).records()] == [
        ("Leaks fuel", "4"),
        ("Road", "4"),
    ]


def test_rechecks_are_repeated_on_the_handover_sheet() -> None:
    (text,) = map(recheck_text, closing(uses()).rechecks)
    said = text.replace("\u00a0", " ")
    assert said.startswith("Big bolts: 10 N·m (89 lbf·in), then 22 N·m (16 lbf·ft), then +45°")
    assert said.endswith("after 100 km (62 mi)")
    assert ("Come back", text) in handover_lines(handover(uses()))


def test_the_handover_sheet() -> None:
    gain = ("Measured gain", "Power +10 hp.")
    lines = [
        (label, text.replace("\u00a0", " "))
        for label, text in handover_lines(handover(uses()), [gain])
    ]
    assert [line for line in lines if line[0] != "Come back"] == [
        ("Fitted", "Cooler kit (TF-1)"),
        ("Fuel from now on", "at least 93 AKI"),
        ("Calibration", "FC-1 (manual)"),
        ("Calibration", "FC-2 (automatic)"),
        ("Emissions", "EO label; check the year"),
        ("Returned to you", "Old cooler"),
        gain,
        ("Please note", "Wash the car by hand for a week."),
    ]
