"""Joints that no wrench of the shop can do, and wrenches past their date; all on fixed days."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

import pytest

from procedures_lib.findings import Level
from procedures_lib.manual.shop import Shop, read_shop
from tests.helpers import findings_of, manual_from

if TYPE_CHECKING:
    from pathlib import Path

    from procedures_lib.findings import Finding

CAR = """
    ```{{vehicle}} v
    name: V
    ```
    ```{{parts}}
    lid: {{name: Lid, held-by: lid-bolts}}
    ```
    ```{{fasteners}}
    lid-bolts: {{kind: bolt, count: 2, tighten: {tighten}{more}}}
    hub-nut: {{kind: nut, tighten: 900 N·m}}
    ```
    """
STEPS = """
    # Renew the lid

    ```{procedure} renew-lid
    vehicle: v
    revision: A
    ```
    :::{step} Off and on
    ---
    do:
      - remove lid-bolts, lid
      - fit lid
      - tighten lid-bolts
    ---
    :::
    """
SETTINGS = """\
[[torque-wrench]]
id = "click-25"
name = "Click wrench"
range = "5–25 N·m"
deviation-class = "II A"
calibration-due = 2027-01-31

[[torque-wrench]]
id = "click-100"
name = "Large wrench"
range = "20–100 N·m"
deviation-class = "II A"
calibration-due = 2027-02-28

[[angle-gauge]]
id = "gauge"
name = "Gauge"
check-due = 2027-03-31

[shop]
name = "Test shop"
"""
CHECKS = {"no-wrench", "wrench-out-of-date"}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    path = tmp_path / "shop.toml"
    path.write_text(SETTINGS, encoding="utf-8")
    found, findings = read_shop(path)
    assert findings == []
    return found


def after(shop: Shop, tighten: str, day: str = "", more: str = "") -> list[Finding]:
    on = datetime.date.fromisoformat(day) if day else None
    pages = {"car.md": CAR.format(tighten=tighten, more=more), "fit.md": STEPS}
    found = findings_of(manual_from(pages, shop.judged_on(on)))
    return [each for each in found if each.check in CHECKS]


@pytest.mark.parametrize(
    "tighten",
    ["8 N·m", "[10 N·m, 25 N·m, +45°]", "10–12 N·m", "50 ± 2 N·m", "[hand, +90°]", "snug"],
)
def test_what_the_shop_can_do_passes(shop: Shop, tighten: str) -> None:
    assert after(shop, tighten) == []


def test_a_torque_beyond_every_scale(shop: Shop) -> None:
    (found,) = after(shop, "[60 N·m, 120 N·m]")
    assert (found.check, found.level) == ("no-wrench", Level.WARNING)
    assert (found.place.page, found.place.line) == ("car.md", 8)
    assert found.message.replace("\u00a0", " ") == (
        "no wrench of the shop does stage 2 of `lid-bolts`, 120 N·m"
    )
    assert found.hint == (
        "`click-100`: its scale ends at 100 N·m. Look at the torque, or add a wrench to shop.toml"
    )
    assert [(place.page, place.line) for place in found.related] == [("fit.md", 12)]


@pytest.mark.parametrize(
    ("tighten", "said"),
    [
        ("4 N·m", "`click-25`: its scale begins at 5 N·m"),
        ("50 ± 1 N·m", "`click-100`: it may be off by ±4\u00a0%, the joint allows ±2\u00a0%"),
        ("drag 8 N·m", "drag is read while the part turns"),
    ],
)
def test_each_reason_is_told(shop: Shop, tighten: str, said: str) -> None:
    (found,) = after(shop, tighten)
    assert said in found.hint


def test_an_adapter_on_wrenches_of_unknown_length(shop: Shop) -> None:
    (found,) = after(shop, "16 N·m", more=", adapter: 40 mm")
    assert "its length, which the adapter asks for, is not stated" in found.hint


def test_a_shop_without_wrenches_is_not_judged(shop: Shop) -> None:
    assert after(Shop(), "900 N·m", "2030-01-01") == []
    gauges = shop.model_copy(update={"torque_wrenches": ()})
    assert after(gauges, "900 N·m") == []


def test_joints_that_no_procedure_tightens_are_not_judged(shop: Shop) -> None:
    pages = {"car.md": CAR.format(tighten="8 N·m", more="")}
    assert findings_of(manual_from(pages, shop), "no-wrench") == []


@pytest.mark.parametrize(
    ("day", "late"),
    [
        ("", []),
        ("2027-01-31", []),
        ("2027-02-01", ["click-25"]),
        ("2027-04-01", ["click-25", "click-100", "gauge"]),
    ],
)
def test_tools_past_their_date(shop: Shop, day: str, late: list[str]) -> None:
    found = after(shop, "[10 N·m, 60 N·m, +45°]", day)
    assert [each.message.split("`")[1] for each in found] == late
    assert {each.level for each in found} <= {Level.WARNING}


def test_the_finding_stands_in_the_shop_file_once(shop: Shop) -> None:
    pages = {
        "car.md": CAR.format(tighten="10 N·m", more=""),
        "fit.md": STEPS,
        "again.md": STEPS.replace("renew-lid", "renew-lid-again"),
    }
    manual = manual_from(pages, shop.judged_on(datetime.date(2027, 2, 1)))
    (found,) = findings_of(manual, "wrench-out-of-date")
    assert (found.place.page, found.place.line) == ("shop.toml", 2)
    assert found.message == (
        "joints are planned with `click-25` (Click wrench), which was due on 2027-01-31"
    )


def test_a_wrench_that_no_joint_asks_for_may_be_late(shop: Shop) -> None:
    found = after(shop, "10 N·m", "2027-04-01")
    assert [each.message.split("`")[1] for each in found] == ["click-25"]


def test_a_late_wrench_is_no_missing_wrench(shop: Shop) -> None:
    assert {each.check for each in after(shop, "10 N·m", "2030-01-01")} == {"wrench-out-of-date"}
