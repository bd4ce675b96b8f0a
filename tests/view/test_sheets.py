"""Preparation, closing and hand-over as values."""

from __future__ import annotations

import pytest

from procedures_lib.language.entities.kit import Kit
from procedures_lib.manual.shop import Shop
from procedures_lib.view.closing import closing, handover
from procedures_lib.view.preparation import preparation
from tests.view.world import uses


def test_the_car_the_kit_and_what_it_begins_with(shop: Shop) -> None:
    ready = preparation(uses(), shop)
    assert (ready.plan.vehicle, ready.plan.kit) == (uses().plan.vehicle, uses().plan.kit)
    assert ready.plan.kit is not None
    assert ready.begins_with == ("as it arrives",)


@pytest.mark.parametrize(
    ("when", "seconds", "timed", "steps"),
    [("", 5700, 3, 4), ("transmission=manual", 5100, 2, 3)],
)
def test_time_is_the_sum_of_the_steps_that_apply(
    shop: Shop, when: str, seconds: float, timed: int, steps: int
) -> None:
    ready = preparation(uses(when), shop)
    assert (ready.seconds, ready.timed, ready.steps) == (seconds, timed, steps)
    assert ready.untimed == steps - timed


def test_people_supplies_tools_and_check_in(shop: Shop) -> None:
    ready = preparation(uses(), shop)
    assert ready.people == 2
    assert [(s.name, s.in_kit, s.steps) for s in ready.supplies] == [
        ("Cable tie", True, (1,)),
        ("masking tape", False, (1, 3)),
    ]
    assert len(ready.check_in) == 6
    assert (ready.tools[0].name, ready.tools[0].joints, ready.tools[0].steps) == (
        "trim lever",
        (),
        (1, 4),
    )


def test_hazards_stand_gravest_first_with_their_steps(shop: Shop) -> None:
    met = [(m.hazard.id, m.hazard.signal, list(m.steps)) for m in preparation(uses(), shop).hazards]
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
    last = closing(uses())
    assert [(j.name, j.tight_steps, str(j.tight_when)) for j in last.joints] == [
        ("Sensor screws", (2,), ""),
        ("Big bolts", (4,), ""),
        ("Spacer bolts", (3,), "transmission=automatic"),
    ]
    assert [(test.what, test.steps) for test in last.tests] == [
        ("Leaks fuel", (4,)),
        ("Road", (4,)),
    ]


def test_rechecks_are_repeated_on_the_handover_sheet() -> None:
    (joint,) = closing(uses()).rechecks
    assert joint.id == "big-bolts"
    assert joint.fastener.recheck is not None
    assert joint.fastener.recheck.value == 100
    assert joint.fastener.recheck.unit == "km"
    assert handover(uses()).rechecks == (joint,)


def test_the_handover_sheet() -> None:
    sheet = handover(uses())
    assert sheet.title == "Fit the cooler"
    assert isinstance(sheet.kit, Kit)
    assert sheet.kit.id == "tf-1"
    assert sheet.calibration == (("manual", "FC-1"), ("automatic", "FC-2"))
    assert sheet.returned == ("Old cooler",)
    assert sheet.notes == ("Wash the car by hand for a week.",)


def test_the_handover_sheet_of_one_car_has_its_own_calibration() -> None:
    assert handover(uses("transmission=manual")).calibration == (("manual", "FC-1"),)
