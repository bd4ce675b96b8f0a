"""Choosing a torque wrench by scale, date, deviation, drive and length, and why not another."""

from __future__ import annotations

import csv
import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.quantities.conversion import (
    band_text,
    figures,
    in_unit,
)
from procedures_lib.engineering.tightening import read_stage
from procedures_lib.engineering.tightening.wrench import (
    Adapter,
    Need,
    Why,
    Wrench,
    choose,
    class_named,
    class_names,
    need_of,
    permissible_deviation,
)

ROWS = {
    row["id"]: row
    for row in csv.DictReader(
        Path(__file__).with_name("torque_wrench_examples.csv").read_text("utf-8").splitlines()
    )
}
TODAY = datetime.date(2026, 11, 25)
SMALL = Wrench("small", "Small", 2, 10, "II A", drive="1/4 in", length=200)
MIDDLE = Wrench("middle", "Middle", 5, 25, "II A", drive="1/4 in", length=250)
LARGE = Wrench("large", "Large", 20, 100, "II A", drive="1/2 in", length=400)
DIAL = Wrench("dial", "Dial", 0.5, 5, "I B", shows=True, drive="1/4 in", length=220)
ALL = (SMALL, MIDDLE, LARGE, DIAL)


def wanted(text: str, adapter: Adapter | None = None, drive: str = "") -> Need:
    need = need_of(read_stage(text), adapter, drive)
    assert need is not None
    return need


def chosen(text: str, *wrenches: Wrench, day: datetime.date | None = None) -> str | None:
    best = choose(wrenches or ALL, wanted(text), day).best
    return best.wrench.id if best else None


def reasons(text: str, *wrenches: Wrench, **more: object) -> dict[str, Why]:
    choice = choose(wrenches or ALL, wanted(text, **more), TODAY)  # type: ignore[arg-type]
    return {refusal.wrench.id: refusal.why for refusal in choice.refused}


# The deviation of a class --------------------------------------------------------------------


@pytest.mark.parametrize(("row", "most"), [("TW-6", 10), ("TW-7", 25)])
def test_the_deviation_that_manuals_quote(row: str, most: float) -> None:
    printed = float(ROWS[row]["expected"].strip("+/- %")) / 100
    assert permissible_deviation("II A", most) == printed


@pytest.mark.parametrize(
    ("name", "small", "large"),
    # ISO 6789-1:2017, table 2, from memory (row TW-10).
    [("I A", 6, 6), ("I B", 6, 4), ("I C", 6, 4), ("I D", 6, 6), ("I E", 6, 4), ("II B", 6, 4),
     ("II C", 6, 4), ("II D", 6, 6), ("II E", 6, 6), ("II F", 6, 6), ("II G", 6, 6)],
)  # fmt: skip
def test_the_deviation_of_the_other_classes(name: str, small: float, large: float) -> None:
    assert permissible_deviation(name, 10) == pytest.approx(small / 100)
    assert permissible_deviation(name, 10.1) == pytest.approx(large / 100)


@pytest.mark.parametrize("text", ["II A", "ii a", "IIA", "Type II, class A", "type II class A"])
def test_a_class_is_read_as_people_write_it(text: str) -> None:
    assert class_named(text) == "II A"


@pytest.mark.parametrize("text", ["", "A", "III A", "II H", "I F", "4 %", "click"])
def test_what_is_no_class_has_no_deviation(text: str) -> None:
    assert class_named(text) == ""
    assert permissible_deviation(text, 100) is None


def test_there_are_five_classes_that_show_and_seven_that_are_set() -> None:
    assert [name.split()[0] for name in class_names()] == ["I"] * 5 + ["II"] * 7


# The choice ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("stage", "wrench"),
    [
        ("6 N·m", "small"),
        ("10 N·m", "middle"),
        ("22 N·m", "middle"),
        ("25 N·m", "large"),
        ("3 N·m", "small"),
        ("1 N·m", "dial"),
        ("9–11 N·m", "middle"),
        ("next slot, at most 60 N·m", "large"),
        ("drag 2.0–2.6 N·m", "dial"),
        ("89 lbf·in", "middle"),
        ("101 N·m", None),
        ("0.4 N·m", None),
        ("drag 6 N·m", None),
    ],
)
def test_the_one_whose_scale_has_the_torque_nearest_its_middle(
    stage: str, wrench: str | None
) -> None:
    assert chosen(stage) == wrench


@pytest.mark.parametrize("stage", ["hand", "snug", "+45°", "back off 90°", "back off fully"])
def test_stages_that_take_no_torque_wrench(stage: str) -> None:
    assert need_of(read_stage(stage)) is None


def test_the_ends_of_a_scale_belong_to_it() -> None:
    assert chosen("2 N·m", SMALL) == "small"
    assert chosen("10 N·m", SMALL) == "small"
    assert chosen("40 lbf·in", Wrench("inch", "Inch", in_nm(40), in_nm(200))) == "inch"


def in_nm(lbf_in: float) -> float:
    return lbf_in * 0.45359237 * 9.80665 * 0.0254


def test_a_shop_without_wrenches_chooses_none() -> None:
    choice = choose((), wanted("12 N·m"))
    assert (choice.best, choice.first, choice.refused) == (None, None, ())


@pytest.mark.parametrize(
    ("stage", "why"),
    [
        ("12 N·m", {"small": Why.TOO_SMALL, "large": Why.TOO_LARGE, "dial": Why.TOO_SMALL}),
        ("drag 2 N·m", {"small": Why.BUILD, "middle": Why.BUILD, "large": Why.BUILD}),
        ("60 ± 2 N·m", {"small": Why.TOO_SMALL, "middle": Why.TOO_SMALL, "dial": Why.TOO_SMALL,
                        "large": Why.DEVIATION}),
    ],
)  # fmt: skip
def test_each_other_wrench_has_its_reason(stage: str, why: dict[str, Why]) -> None:
    assert reasons(stage) == why


# What the joint allows -----------------------------------------------------------------------


def test_a_range_is_set_in_its_middle_and_the_band_stays_in_it() -> None:
    best = choose(ALL, wanted("10–12 N·m")).best
    assert best is not None
    assert best.wrench.id == "middle"
    assert best.setting == pytest.approx(11)
    assert best.low == pytest.approx(10.56)  # 11 × 0.96
    assert best.high == pytest.approx(11.44)


@pytest.mark.parametrize(
    ("stage", "wrench"),
    [
        ("50 ± 2 N·m", "large"),  # just 4 %
        ("50 ± 1.9 N·m", None),
        ("8 ± 0.5 N·m", "small"),  # 6.25 %, the small wrench may be off by 6 %
        ("8 ± 0.4 N·m", "middle"),  # 5 %: the middle one, off by 4 %
        ("8 ± 0.3 N·m", None),
        ("50 N·m", "large"),  # no tolerance stated: any wrench in its class
    ],
)
def test_a_wrench_that_may_be_off_by_more_than_the_joint_allows(
    stage: str, wrench: str | None
) -> None:
    assert chosen(stage, SMALL, MIDDLE, LARGE) == wrench


def test_a_wrench_of_no_stated_class_is_not_refused_for_it() -> None:
    plain = Wrench("plain", "Plain", 20, 100)
    best = choose((plain,), wanted("50 ± 1 N·m")).best
    assert best is not None
    assert (best.low, best.high) == (None, None)


@given(st.floats(3, 90), st.floats(0, 0.5), st.sampled_from([0.04, 0.06]), st.floats(-1, 1))
def test_when_the_middle_does_not_fit_no_setting_does(
    middle: float, tolerance: float, deviation: float, shift: float
) -> None:
    low, high = middle * (1 - tolerance), middle * (1 + tolerance)
    fits = middle * (1 - deviation) >= low and middle * (1 + deviation) <= high
    setting = middle + shift * (high - low) / 2
    assert fits or not (setting * (1 - deviation) > low and setting * (1 + deviation) < high)


@given(st.floats(1, 120), st.floats(0, 0.3))
def test_the_chosen_band_lies_in_what_the_joint_states(middle: float, tolerance: float) -> None:
    need = Need(middle * (1 - tolerance), middle * (1 + tolerance))
    best = choose(ALL, need).best
    if best is None or need.tolerance is None:
        return
    assert best.low is not None
    assert best.high is not None
    assert need.low <= best.low * (1 + 1e-9)
    assert best.high * (1 - 1e-9) <= need.high


# Dates, drives, adapters ---------------------------------------------------------------------


def due(wrench: Wrench, day: str) -> Wrench:
    return Wrench(wrench.id, wrench.name, wrench.least, wrench.most, wrench.deviation_class,
                  due=datetime.date.fromisoformat(day))  # fmt: skip


def test_past_its_date_a_wrench_is_refused_and_the_next_is_taken() -> None:
    late = due(MIDDLE, "2026-11-24")
    choice = choose((late, due(SMALL, "2026-11-25")), wanted("8 N·m"), TODAY)
    assert choice.best is not None
    assert choice.best.wrench.id == "small"
    one = choose((late,), wanted("8 N·m"), TODAY)
    assert (one.best, one.first and one.first.wrench) == (None, late)
    assert [(r.why, r.text) for r in one.refused] == [
        (Why.OUT_OF_DATE, "its calibration was due on 2026-11-24")
    ]


def test_the_day_it_is_due_it_may_still_be_used_and_without_a_day_dates_do_not_matter() -> None:
    assert chosen("8 N·m", due(MIDDLE, "2026-11-25"), day=TODAY) == "middle"
    assert chosen("8 N·m", due(MIDDLE, "2001-01-01")) == "middle"
    assert chosen("8 N·m", MIDDLE, day=TODAY) == "middle"


def test_a_drive_that_is_asked_for() -> None:
    assert reasons("22 N·m", drive="1/2 in")["middle"] is Why.DRIVE
    best = choose(ALL, wanted("22 N·m", drive="1/2in")).best
    assert best is not None
    assert best.wrench.id == "large"
    unstated = choose((Wrench("x", "X", 5, 25),), wanted("22 N·m", drive="1/2 in"))
    assert unstated.refused[0].text == "its drive is not stated, 1/2 in is wanted"


def test_an_adapter_lowers_the_setting_and_may_call_for_another_wrench() -> None:
    best = choose(ALL, wanted("16 N·m", Adapter(40))).best
    assert best is not None
    assert best.setting == pytest.approx(16 * 250 / 290)
    assert best.low == pytest.approx(16 * 0.96), "at the fastener"
    refused = choose((LARGE,), wanted("21 N·m", Adapter(40))).refused
    assert (refused[0].why, refused[0].text) == (
        Why.TOO_LARGE,
        "its scale begins at 20 N·m, 19.1 N·m would have to be set",
    )


def test_an_adapter_on_a_wrench_of_unknown_length() -> None:
    plain = Wrench("plain", "Plain", 5, 25)
    assert reasons("16 N·m", plain, adapter=Adapter(40)) == {"plain": Why.LENGTH}
    assert reasons("16 N·m", plain, adapter=Adapter(40, 90)) == {}, "across it nothing changes"
    folded = Wrench("short", "Short", 5, 25, length=40)
    assert reasons("16 N·m", folded, adapter=Adapter(50, 180)) == {"short": Why.LENGTH}


# Texts ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "text"), [(14.117, "14.1"), (8.5714, "8.57"), (120, "120"), (1234.5, "1234")]
)
def test_three_figures(value: float, text: str) -> None:
    assert figures(value) == text


def test_torques_as_text() -> None:
    assert band_text(10.56, 11.44, "N·m").replace("\u00a0", " ") == "10.6–11.4 N·m"
    # NIST SP 811: 1 lbf·ft is 1.355 818 N·m
    assert in_unit(1.355818, "lbf·ft") == pytest.approx(1, rel=1e-6)
