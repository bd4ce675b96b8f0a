"""The shop's settings."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

import pytest

from procedures_lib.manual.shop import Shop, read_shop

if TYPE_CHECKING:
    from pathlib import Path

    from procedures_lib.findings import Finding

GOOD = """
[shop]
name = "Test shop"
manual = "Manual"
notice = "Invented."
invented = true

[[torque-wrench]]
id = "click-10"
name = "Click wrench"
range = "2–10 N·m"
drive = "1/4 in"
deviation-class = "II A"
last-calibrated = 2026-08-17
calibration-due = 2027-08-17

[[torque-wrench]]
id = "inch"
name = "Inch wrench"
range = "40–200 lbf·in"

[[angle-gauge]]
id = "gauge"
name = "Angle gauge"
range = "0–360°"
step = "2°"
"""


def read(tmp_path: Path, text: str) -> tuple[Shop, list[Finding]]:
    path = tmp_path / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return read_shop(path)


def test_all_settings_are_read(tmp_path: Path) -> None:
    shop, found = read(tmp_path, GOOD)
    assert found == []
    assert (shop.name, shop.notice, shop.invented) == ("Test shop", "Invented.", True)
    click, inch = shop.torque_wrenches
    assert (click.id, click.name, click.range.written) == ("click-10", "Click wrench", "2–10 N·m")
    assert click.calibration_due == datetime.date(2027, 8, 17)
    assert click.scale == (2, 10)
    assert inch.scale == pytest.approx((4.519, 22.597), abs=0.001)
    (gauge,) = shop.angle_gauges
    assert (gauge.id, gauge.name) == ("gauge", "Angle gauge")


def test_a_missing_file_is_a_shop_without_wrenches(tmp_path: Path) -> None:
    shop, found = read_shop(tmp_path / "none.toml")
    assert (shop, found) == (Shop(), [])


def test_broken_toml_is_one_finding_on_its_line(tmp_path: Path) -> None:
    shop, found = read(tmp_path, '[shop]\nname = "A"\nmanual = \n')
    assert [(f.check, f.place.line) for f in found] == [("unreadable-page", 3)]
    assert shop == Shop()


@pytest.mark.parametrize(
    ("old", "new", "check", "line"),
    [
        ('range = "2–10 N·m"', 'range = "2–10"', "no-unit", 11),
        ('range = "2–10 N·m"', 'range = "10–2 N·m"', "bad-tolerance", 11),
        ('range = "2–10 N·m"', 'range = "2–10 mm"', "wrong-dimension", 11),
        ('range = "2–10 N·m"', 'rnage = "2–10 N·m"', "unknown-field", 11),
        ('name = "Inch wrench"', "", "missing-field", 17),
        ("[[angle-gauge]]", "[units]\ntorque = 1\n[[angle-gauge]]", "unknown-field", 22),
        ('id = "click-10"', 'id = "Click 10"', "bad-id", 9),
        ('deviation-class = "II A"', 'deviation-class = "II K"', "unknown-word", 13),
        ('drive = "1/4 in"', 'length = "300"', "no-unit", 12),
        (
            "calibration-due = 2027-08-17",
            "calibration-due = 2027-08-17T10:00:00",
            "wrong-shape",
            15,
        ),
    ],
)
def test_a_bad_setting_is_one_finding_and_the_rest_is_used(
    tmp_path: Path, old: str, new: str, check: str, line: int
) -> None:
    shop, found = read(tmp_path, GOOD.replace(old, new))
    assert [(f.check, f.place.line) for f in found] == [(check, line)]
    assert (shop.name, len(shop.angle_gauges)) == ("Test shop", 1)


@pytest.mark.parametrize("text", ["shop = 1", "torque-wrench = 3", "torque-wrench = [1]"])
def test_settings_of_the_wrong_shape_are_one_finding(tmp_path: Path, text: str) -> None:
    shop, found = read(tmp_path, f"# shop\n{text}\n")
    assert [(f.check, f.place.line) for f in found] == [("unreadable-block", 2)]
    assert shop == Shop()


def test_a_single_table_is_one_wrench(tmp_path: Path) -> None:
    shop, found = read(tmp_path, "[torque-wrench]\nid = 'x'\nname = 'X'\nrange = '2–10 N·m'\n")
    assert (found, [wrench.id for wrench in shop.torque_wrenches]) == ([], ["x"])


def test_a_class_is_kept_in_one_spelling_and_tells_the_type(tmp_path: Path) -> None:
    shop, found = read(tmp_path, GOOD.replace("II A", "type II, class a"))
    assert found == []
    assert [wrench.deviation_class for wrench in shop.torque_wrenches] == ["II A", ""]
    dial, _ = read(tmp_path, GOOD.replace("II A", "I B"))
    assert [wrench.shows_torque for wrench in dial.torque_wrenches] == [True, False]


def test_a_wrench_as_a_plain_value(tmp_path: Path) -> None:
    shop, _ = read(tmp_path, GOOD.replace('drive = "1/4 in"', 'drive = "1/4 in"\nlength = "12 in"'))
    click, inch = shop.wrenches
    assert (click.least, click.most, click.drive) == (2, 10, "1/4 in")
    assert click.length == pytest.approx(304.8)
    assert (click.due, inch.due) == (datetime.date(2027, 8, 17), None)
    assert (inch.length, inch.deviation) == (None, None)


def test_the_shop_does_not_know_what_day_it_is(tmp_path: Path) -> None:
    shop, _ = read(tmp_path, GOOD)
    day = datetime.date(2028, 1, 1)
    assert (shop.day, shop.judged_on(day).day, shop.judged_on(day).judged_on(None).day) == (
        None,
        day,
        None,
    )
    assert shop.judged_on(day).model_dump_json() == shop.model_dump_json(), "what pages show"
