"""Settings with an adapter, against the worked examples of tests/tightening/*_examples.csv."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.tightening.wrench import Adapter, setting_for, torque_at

ROWS = {
    row["id"]: row
    for row in csv.DictReader(
        Path(__file__).with_name("torque_wrench_examples.csv").read_text("utf-8").splitlines()
    )
}
LENGTHS = st.floats(50, 1000)
ADAPTERS = st.builds(Adapter, st.floats(0, 45), st.floats(0, 360))


def test_the_army_manuals_example() -> None:
    # TW-1: 60 in·lb set, 12 in long, 2 in adapter: 70 in·lb. In any one unit of length and torque.
    assert ROWS["TW-1"]["expected"] == "70 in·lb"
    assert torque_at(60, 12, Adapter(2)) == pytest.approx(70, rel=1e-9)
    assert setting_for(70, 12, Adapter(2)) == pytest.approx(60, rel=1e-9)


@pytest.mark.parametrize(
    ("row", "torque", "length", "adapter"), [("TW-2", 30, 12, 6), ("TW-3", 50, 16, 2)]
)
def test_printed_settings(row: str, torque: float, length: float, adapter: float) -> None:
    printed = float(ROWS[row]["expected"].split()[0])
    assert setting_for(torque, length, Adapter(adapter)) == pytest.approx(printed, abs=0.005)


@given(st.floats(1, 500), LENGTHS, st.floats(0, 45))
def test_across_the_wrench_nothing_is_corrected(
    torque: float, length: float, adapter: float
) -> None:
    # TW-4: US Army TM 9-254, figure 4-6.
    assert setting_for(torque, length, Adapter(adapter, 90)) == torque
    assert setting_for(torque, length, Adapter(adapter, 270)) == torque


def test_folded_back_it_is_set_higher() -> None:
    # TW-5: T·L / (L - E).
    assert setting_for(30, 12, Adapter(2, 180)) == pytest.approx(30 * 12 / 10)


@given(st.floats(1, 500), LENGTHS, ADAPTERS)
def test_what_is_set_gives_what_was_asked_for(
    torque: float, length: float, adapter: Adapter
) -> None:
    setting = setting_for(torque, length, adapter)
    assert torque_at(setting, length, adapter) == pytest.approx(torque, rel=1e-12)


@given(st.floats(1, 500), LENGTHS, st.floats(1, 45), st.floats(0, 89))
def test_a_longer_arm_is_set_lower_and_less_so_at_an_angle(
    torque: float, length: float, adapter: float, angle: float
) -> None:
    straight = setting_for(torque, length, Adapter(adapter))
    turned = setting_for(torque, length, Adapter(adapter, angle))
    assert straight <= turned <= torque


@pytest.mark.parametrize(("length", "adapter"), [(40, 40), (40, 50), (0, 10), (-1, 10)])
def test_an_adapter_that_reaches_the_hand_is_refused(length: float, adapter: float) -> None:
    with pytest.raises(ValueError, match="as far as the hand"):
        setting_for(10, length, Adapter(adapter, 180))


def test_without_an_adapter_no_length_is_needed() -> None:
    assert setting_for(10, 0, None) == 10
