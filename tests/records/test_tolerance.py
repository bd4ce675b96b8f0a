"""How far a reading may be off: against the page's tolerance, and the classes of ISO 6789-1."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.quantities import QuantityError
from procedures_lib.engineering.tightening import Stage, StageKind, read_stage
from procedures_lib.engineering.tightening.wrench import permissible_deviation
from procedures_lib.judging.records.readings import (
    Asked,
    asked,
    in_units,
    limits_of,
    procedure_digest,
    reading_amount,
)
from procedures_lib.judging.records.record import Record, read_record
from procedures_lib.judging.records.record_check import check_record
from tests.axle import axle_manual, axle_plan


@pytest.mark.parametrize(
    ("stage", "deviation", "low", "high"),
    [
        ("12 ± 1 N·m", 0.04, 11, 13),  # what the page states comes first
        ("10–12 N·m", 0.06, 10, 12),
        ("100 N·m", 0.04, 96, 104),  # ISO 6789, 5.1.5: ±4 % above 10 N·m
        ("10 N·m", 0.06, 9.4, 10.6),  # … ±6 % up to 10 N·m
        ("10 N·m", None, 9.4, 10.6),  # the widest class, where it is not known
        ("next slot, at most 60 N·m", 0.04, 0, 60),
        ("drag 2.0–2.6 N·m", 0.06, 2.0, 2.6),
        ("+45°", None, 40, 50),  # ±5°: common practice, no source
        ("+1/4 turn", None, 85, 95),
        ("+90 ± 15°", None, 75, 105),
    ],
)
def test_limits(stage: str, deviation: float | None, low: float, high: float) -> None:
    limits = limits_of(read_stage(stage), deviation)
    assert limits is not None
    assert (limits.low, limits.high) == pytest.approx((low, high))
    assert limits.hold(low)
    assert limits.hold(high)
    assert not limits.hold(high + 0.01)
    assert low == 0 or not limits.hold(low - 0.01)


def test_the_deviation_is_the_wrenchs_own() -> None:
    assert permissible_deviation("II A", most=25) == 0.04
    assert permissible_deviation("II A", most=10) == 0.06


def test_nothing_is_read_by_hand() -> None:
    assert limits_of(read_stage("hand")) is None
    assert limits_of(read_stage("back off fully")) is None


def test_limits_in_each_unit() -> None:
    limits = limits_of(read_stage("10–12 N·m"))
    assert limits is not None
    found = in_units(limits)
    assert found["N·m"] == (10, 12)
    # NIST SP 811, appendix B.8: 1 lbf·ft = 1.355818 N·m, 1 lbf·in = 0.1129848 N·m
    assert found["lbf·ft"] == pytest.approx((10 / 1.355818, 12 / 1.355818), abs=1e-4)
    assert found["lbf·in"] == pytest.approx((10 / 0.1129848, 12 / 0.1129848), abs=1e-3)


def test_a_decimal_comma_is_read() -> None:
    assert float(reading_amount("10,5", "N·m").nominal) == 10.5
    assert float(reading_amount("90", "", "angle").nominal) == 90
    with pytest.raises(QuantityError):
        reading_amount("1,200.5", "N·m")
    with pytest.raises(QuantityError):
        reading_amount("10", "°")


def test_a_stretch_is_read_as_a_length() -> None:
    stage = read_stage("stretch 0.12–0.18 mm")
    limits = limits_of(stage)
    assert limits is not None
    assert (limits.low, limits.high, limits.unit) == (0.12, 0.18, "mm")
    # An inch is 25.4 mm: SI brochure, 9th edition, table 8
    assert in_units(limits)["in"] == pytest.approx((0.12 / 25.4, 0.18 / 25.4), abs=1e-5)
    assert limits.hold(float(reading_amount("0.006", "in", "length").exact_nominal("mm")))
    plain = limits_of(read_stage("stretch 0.15 mm"))
    assert plain is not None
    assert (round(plain.low, 3), round(plain.high, 3)) == (0.14, 0.16)


def test_words_and_loosening_ask_for_no_reading() -> None:
    for stage in (Stage(StageKind.UNTIL, words="flush"), read_stage("back off at most 1/4 turn")):
        assert stage.kind not in {each.what.kind for each in asked(axle_plan())}


def test_a_record_is_read_against_the_torque_of_its_car() -> None:
    manual = axle_manual()

    def findings(axle: str, value: str) -> list[str]:
        return [one.check for one in check_record(record_of(axle, value), manual)]

    assert findings("long", "250") == []
    assert "out-of-tolerance" in findings("long", "120")
    assert "out-of-tolerance" in findings("short", "250")
    assert findings("short", "120") == ["joint-not-recorded"]  # the angle that the long has not


def record_of(axle: str, value: str) -> Record:
    """A record whose every reading is as the page asks, but for that of the hub nut."""
    plan = axle_plan()
    given = [
        {
            "step": each.step,
            "joint": each.joint,
            "stage": each.stage,
            "value": value if each.joint == "hub-nut" else _middle(each),
            "unit": {"torque": "N·m", "angle": "°", "length": "mm"}[each.measure],
            "wrench": "",
            "initials": "AB",
            "at": "2026-11-25T14:05:00+01:00",
        }
        for each in asked(plan)
        if each.joint != "hub-nut" or (each.stage == 1 and str(each.when) == "axle=long")
    ]
    record, wrong = read_record(
        {
            "format": 1,
            "procedure": plan.head.id,
            "revision": "A",
            "digest": procedure_digest(plan),
            "car": {"axle": axle},
            "steps": [{"number": 1}, {"number": 2}],
            "readings": given,
        }
    )
    assert record is not None
    assert wrong == []
    return record


def _middle(each: Asked) -> str:
    limits = limits_of(each.what)
    assert limits is not None
    return f"{(limits.low + limits.high) / 2:.4g}"
