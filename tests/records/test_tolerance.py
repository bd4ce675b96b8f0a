"""How far a reading may be off: against the page's tolerance, and the classes of ISO 6789-1."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.quantities import QuantityError
from procedures_lib.engineering.tightening import read_stage
from procedures_lib.engineering.tightening.wrench import permissible_deviation
from procedures_lib.judging.records.readings import in_units, limits_of, reading_amount


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
