"""``procedures wrench``: the choice in words and as JSON, and what is refused."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from procedures_lib.engineering.tightening import read_stage
from procedures_lib.fronts.formats.values import stage_value
from tests.cli.world import run, undented, write

if TYPE_CHECKING:
    from pathlib import Path

SHOP = """
    [[torque-wrench]]
    id = "small"
    name = "Small wrench"
    range = "5–25 N·m"
    drive = "1/4 in"
    deviation-class = "II A"
    length = "300 mm"
    calibration-due = 2027-01-31

    [[torque-wrench]]
    id = "large"
    name = "Large wrench"
    range = "20–100 N·m"
    drive = "1/2 in"

    [[torque-wrench]]
    id = "dial"
    name = "Dial wrench"
    range = "0.5–5 N·m"
    deviation-class = "I B"

    [[angle-gauge]]
    id = "gauge"
    name = "Angle gauge"
    range = "0–360°"
    step = "2°"
    """
DAY = ("--on", "2026-11-25")


@pytest.fixture
def shop(manual: Path) -> Path:
    write(manual, {"conf/shop.toml": SHOP})
    return manual


@pytest.mark.usefixtures("shop")
def test_the_wrench_its_setting_the_band_and_why_not_the_others() -> None:
    result = run("wrench", "12", "N·m", *DAY)
    # 12 × 0.96 and 12 × 1.04; 1 lbf·in is 0.112 984 8 N·m (NIST SP 811)
    assert result.stdout == undented("""
        For 12 N·m (106 lbf·in)
        Take Small wrench, set 12 N·m (106 lbf·in)
        The fastener gets 11.5–12.5 N·m, 8.5–9.2 lbf·ft, 102–110 lbf·in (±4 %, class II A)
        Not these:
          Large wrench: too large, its scale begins at 20 N·m
          Dial wrench: too small, its scale ends at 5 N·m
        """)
    assert result.exit_code == 0


@pytest.mark.usefixtures("shop")
@pytest.mark.parametrize(
    "words",
    [
        ("16 N·m", "--adapter", "40 mm"),
        ("16", "N·m", "--adapter", "40", "mm"),
        ("16Nm", "--adapter", "40mm", "--length", "300", "mm"),
        ("16", "N·m", "--adapter", "4", "cm", "--angle", "0°"),
    ],
)
def test_an_adapter_however_its_length_is_typed(words: tuple[str, ...]) -> None:
    result = run("wrench", *words, *DAY)
    assert "Take Small wrench, set 14.1 N·m (125 lbf·in)" in result.stdout  # 16 × 300 / 340
    assert "The fastener gets 15.4–16.6 N·m" in result.stdout


@pytest.mark.usefixtures("shop")
def test_across_the_wrench_an_adapter_changes_nothing() -> None:
    result = run("wrench", "30 N·m", "--adapter", "40 mm", "--angle", "90°", *DAY)
    assert "Take Large wrench, set 30 N·m" in result.stdout
    assert "How far it may be off is not known" in result.stdout


@pytest.mark.usefixtures("shop")
def test_as_json() -> None:
    result = run("wrench", "10–12 N·m", "--json", *DAY)
    value = json.loads(result.stdout)
    assert (value["format"], value["on"], value["take"]["id"]) == (2, "2026-11-25", "small")
    assert value["stage"] == stage_value(read_stage("10–12 N·m"))
    assert value["take"]["set"]["N·m"] == pytest.approx(11)
    assert value["take"]["set"]["lbf·in"] == pytest.approx(97.36, abs=0.01)
    assert value["take"]["low"]["N·m"] == pytest.approx(10.56)
    assert value["take"]["deviation"] == 0.04
    assert {each["id"]: each["why"] for each in value["not"]} == {
        "large": "too large",
        "dial": "too small",
    }


@pytest.mark.usefixtures("shop")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("300 N·m",), "Large wrench: too small, its scale ends at 100 N·m"),
        (("12 ± 0.3 N·m",), "deviation, it may be off by ±4 %, the joint allows ±2.5 %"),
        (("12 N·m", "--on", "2027-02-01"), "its calibration was due on 2027-01-31"),
        (("12 N·m", "--drive", "1/2", "in"), "no drive, its drive is 1/4 in, 1/2 in is wanted"),
        (("30 N·m", "--adapter", "40 mm"), "no length, its length, which the adapter asks for"),
        (("drag 8 N·m",), "Small wrench: clicks, drag is read while the part turns"),
    ],
)
def test_none_does_it_and_why(words: tuple[str, ...], said: str) -> None:
    result = run("wrench", *words)
    assert result.exit_code == 1
    assert "No wrench of the shop does this." in result.stdout
    assert said in result.stdout


@pytest.mark.usefixtures("shop")
def test_drag_is_read_and_the_next_slot_is_never_passed() -> None:
    assert "Take Dial wrench, read 2.3 N·m" in run("wrench", "drag 2.0–2.6 N·m").stdout
    slot = run("wrench", "next slot, at most 20 N·m", *DAY).stdout
    assert "set at most 19.2 N·m" in slot  # 20 / 1.04
    assert "gets 18.5–20 N·m" in slot


@pytest.mark.usefixtures("shop")
def test_an_angle_takes_the_gauge() -> None:
    assert run("wrench", "+45°").stdout == "For +45°\nTake Angle gauge, in steps of 2°\n"
    value = json.loads(run("wrench", "+45°", "--json").stdout)
    assert value["take"] == {"id": "gauge", "name": "Angle gauge"}
    far = run("wrench", "+720°")
    assert (far.exit_code, far.stdout.splitlines()[1]) == (
        1,
        "No angle gauge of the shop goes so far.",
    )


@pytest.mark.usefixtures("manual")
def test_a_shop_without_wrenches() -> None:
    result = run("wrench", "12 N·m")
    assert (result.exit_code, result.stdout) == (
        1,
        "For 12 N·m (106 lbf·in)\nNo wrench of the shop does this.\n",
    )


@pytest.mark.usefixtures("shop")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("hand",), "`hand` takes no torque wrench"),
        (("12",), "12 has no unit"),
        (("35 lb",), "lbf·in"),
        (("12 N·m", "--angle", "45°"), "give its length"),
        (("12 N·m", "--adapter", "40"), "has no unit"),
        (("12 N·m", "--adapter", "40 N·m"), "length"),
        (("12 N·m", "--on", "25.11.2026"), "is no date: write 2026-09-14"),
        ((), "Missing argument"),
    ],
)
def test_what_can_not_be_read_is_refused(words: tuple[str, ...], said: str) -> None:
    result = run("wrench", *words)
    assert result.exit_code == 2
    assert said in result.stderr


def test_a_shop_file_that_can_not_be_read_whole_is_told_of(shop: Path) -> None:
    write(shop, {"conf/shop.toml": SHOP.replace('deviation-class = "I B"', 'deviation-clas = "x"')})
    result = run("wrench", "12 N·m", *DAY)
    assert "Take Small wrench" in result.stdout
    assert "not all of conf/shop.toml can be read" in result.stderr


@pytest.mark.parametrize(
    ("stage", "said"),
    [
        ("50 %", "is a share of the joint's last torque"),
        ("stretch 0.2 mm", "takes no torque wrench"),
        ("back off at most 1/4 turn", "takes no torque wrench"),
    ],
)
def test_stages_without_a_torque_of_their_own(stage: str, said: str) -> None:
    result = run("wrench", stage)
    assert result.exit_code == 2
    assert said in result.stderr


def test_a_torque_or_slot_is_set_as_that_torque() -> None:
    plain, slot = (json.loads(run("wrench", text, "--json").stdout)
                   for text in ("20 N·m", "20 N·m or next slot"))  # fmt: skip
    assert slot["take"] == plain["take"]
    assert slot["stage"]["kind"] == "torque or next slot"
