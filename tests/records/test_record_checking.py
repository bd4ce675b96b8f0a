"""A record against its page: a complete one is left alone, each fault is found where it stands."""

from __future__ import annotations

from typing import Any

import pytest

from procedures_lib.findings import Level
from procedures_lib.judging.records.record import read_record
from procedures_lib.judging.records.record_check import check_record
from procedures_lib.manual.shop import Shop
from tests.helpers import manual_from
from tests.mule import PAGES
from tests.records.samples import changed_reading, complete, found, reading, shop_manual


def test_a_complete_record_is_left_alone() -> None:
    assert found(complete()) == []


def test_an_automatic_has_no_side_bolt() -> None:
    readings = complete()["readings"][:1]
    assert found(complete(car={"transmission": "automatic"}, readings=readings)) == []


def test_what_hangs_on_an_option_that_is_not_stated_is_not_asked_for() -> None:
    record = complete(car={}, readings=complete()["readings"][:1])
    assert found(record) == [("$.car", "car-not-stated")]


@pytest.mark.parametrize(
    ("changed", "wanted"),
    [
        ({"procedure": "renew-covers"}, ("$.procedure", "unknown-procedure")),
        ({"revision": "B", "steps": []}, ("$.revision", "other-revision")),
        ({"digest": "0123456789abcdef"}, ("$.digest", "page-changed")),
        ({"car": {"gearbox": "manual", "transmission": "manual"}},
         ("$.car.gearbox", "unknown-option")),
        ({"steps": [{"number": 1}]}, ("$.steps", "step-not-ticked")),
        ({"steps": [{"number": 1}, {"number": 2}, {"number": 9}]},
         ("$.steps[2].number", "unknown-step")),
        ({"steps": [{"number": 1}, {"number": 2}, {"number": 2}]}, ("$.steps[2]", "step-twice")),
        ({"readings": complete()["readings"][:2]}, ("$.readings", "joint-not-recorded")),
        ({"readings": [*complete()["readings"], reading("cover-bolts", 1, "1", "N·m", "")]},
         ("$.readings[3]", "unknown-joint")),
        ({"readings": [*complete()["readings"], complete()["readings"][0]]},
         ("$.readings[3]", "read-twice")),
    ],
)  # fmt: skip
def test_each_fault_is_one_finding(changed: dict[str, Any], wanted: tuple[str, str]) -> None:
    assert found(complete(**changed)) == [wanted]


@pytest.mark.parametrize(
    ("n", "fields", "wanted"),
    [
        (0, {"value": "10.5"}, ("value", "out-of-tolerance")),  # 89 lbf·in ± 4 % ends at 10.46
        (0, {"value": "9.6"}, ("value", "out-of-tolerance")),  # … and begins at 9.65
        (0, {"value": "89"}, ("value", "out-of-tolerance")),  # lbf·in on an N·m line
        (0, {"value": ""}, ("value", "unreadable-value")),
        (0, {"value": "ten"}, ("value", "unreadable-value")),
        (0, {"value": "9–11"}, ("value", "unreadable-value")),
        (0, {"unit": "pounds"}, ("value", "unreadable-value")),
        (0, {"unit": ""}, ("value", "unreadable-value")),
        (0, {"unit": "°"}, ("value", "unreadable-value")),
        (0, {"initials": " "}, ("initials", "no-initials")),
        (0, {"at": ""}, ("at", "no-time")),
        (0, {"wrench": ""}, ("wrench", "no-wrench-named")),
        (0, {"wrench": "click-52"}, ("wrench", "unknown-wrench")),
        (0, {"at": "2027-08-18T08:00:00Z"}, ("wrench", "wrench-out-of-date")),
        (1, {"value": "22.5"}, ("value", "out-of-tolerance")),  # the page's 20–22 N·m, no deviation
        (2, {"value": "45"}, ("value", "out-of-tolerance")),  # 1/6 turn is 60°
        (2, {"wrench": "gauge-2"}, ("wrench", "unknown-wrench")),
    ],
)  # fmt: skip
def test_each_fault_of_a_reading(n: int, fields: dict[str, str], wanted: tuple[str, str]) -> None:
    name, check = wanted
    assert found(changed_reading(n, **fields)) == [(f"$.readings[{n}].{name}", check)]


@pytest.mark.parametrize(
    ("n", "fields"),
    [
        (0, {"value": "89", "unit": "lbf·in"}),
        (0, {"value": "7.5", "unit": "ft-lb"}),
        (0, {"value": "10,2"}),
        (0, {"at": "2027-08-17T23:59:00Z"}),  # the last day
        (1, {"value": "22"}),
        (1, {"value": "15", "unit": "lbf·ft"}),
        (2, {"value": "63", "wrench": ""}),  # an angle can be judged by eye
        (2, {"value": "1/6", "unit": "turn"}),
    ],
)
def test_other_right_readings(n: int, fields: dict[str, str]) -> None:
    assert found(changed_reading(n, **fields)) == []


def test_a_value_off_the_wrenchs_scale_is_a_warning() -> None:
    page = PAGES["vehicles/mule.md"].replace("89 lbf·in", "4 N·m")
    manual = manual_from({**PAGES, "vehicles/mule.md": page}, shop_manual().shop)
    record, _ = read_record(changed_reading(0, value="4"))
    assert record is not None
    said = [f for f in check_record(record, manual) if f.check != "page-changed"]
    assert [(f.path, f.check, f.level) for f in said] == [
        ("$.readings[0].wrench", "off-scale", Level.WARNING)
    ]


@pytest.mark.parametrize(
    ("address", "begin"),
    [("", "superseded/"), ("https://m.example/man", "https://m.example/man/superseded/")],
)
def test_a_record_of_another_revision_leads_to_its_page(address: str, begin: str) -> None:
    manual = manual_from(PAGES, Shop(address=address))
    record, _ = read_record(complete(revision="0.9"))
    assert record is not None
    (said,) = check_record(record, manual)
    assert said.hint == (
        f"that revision's page is kept at {begin}renew-cover/0.9.html; nothing else was judged"
    )


def test_a_shop_without_tools_asks_for_none() -> None:
    manual = manual_from(PAGES, Shop())
    assert found(changed_reading(0, wrench=""), manual) == []
    assert found(changed_reading(0, wrench="borrowed"), manual) == []
    assert found(changed_reading(0, value="10.6", wrench=""), manual) == []  # 6 %: class not known


def test_messages_say_what_was_asked_for() -> None:
    record, _ = read_record(changed_reading(0, value="12"))
    assert record is not None
    (finding,) = check_record(record, shop_manual())
    said = f"{finding.message}; {finding.hint}".replace("\N{NO-BREAK SPACE}", " ")
    assert said == (
        "Cover bolts, stage 2 in step 2: 12 N·m was read, the page asks for 10 N·m (89 lbf·in); "
        "9.653–10.46 N·m would do (±4 %, the class of the wrench); tighten it again, or correct "
        "the reading"
    )
