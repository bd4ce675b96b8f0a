"""What of a file is the pull: rolling up and coasting down are left out."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.dyno.pull import Pull, PullError
from procedures_lib.engineering.dyno.pull_csv import read_pull

RISE = [(float(rpm), 200.0) for rpm in range(2000, 6001, 100)]


def pull_of(rows: list[tuple[float, float]]) -> Pull:
    lines = ["speed [rpm],torque [N·m]\n", *(f"{rpm},{n_m}\n" for rpm, n_m in rows)]
    return read_pull(lines)[0]


def test_a_plain_rise_is_taken_whole() -> None:
    pull = pull_of(RISE)
    assert (pull.speed[0], pull.speed[-1], len(pull.speed)) == (2000, 6000, 41)
    assert (pull.rolled_up, pull.coasted) == (0, 0)


def test_coasting_down_is_left_out() -> None:
    pull = pull_of([*RISE, *((6000.0 - 100 * n, -20.0) for n in range(1, 30))])
    assert (pull.speed[-1], pull.coasted) == (6000, 29)
    assert min(pull.torque) == 200


def test_a_speed_held_before_is_left_out() -> None:
    held = [(1995.0 + n % 3, 15.0) for n in range(20)]
    pull = pull_of([*held, *RISE])
    assert pull.speed[0] == 2100  # 2000 lies in the noise of the held speed: 0.5 % of 6000 rpm
    assert (pull.rolled_up, min(pull.torque)) == (21, 200)


def test_rolling_faster_before_is_left_out() -> None:
    pull = pull_of([(2600.0, 20.0), (2400.0, -5.0), (2200.0, -5.0), *RISE])
    assert (pull.speed[0], pull.rolled_up) == (2000, 3)


def test_overrun_at_the_start_is_left_out() -> None:
    pull = pull_of([(1800.0, -30.0), (1900.0, 0.0), *RISE])
    assert (pull.speed[0], pull.rolled_up) == (2000, 2)


def test_noise_of_the_speed_is_sorted() -> None:
    shaken = [(rpm + (15 if n % 2 else -15), n_m) for n, (rpm, n_m) in enumerate(RISE)]
    shaken[20], shaken[21] = shaken[21], shaken[20]
    with pytest.raises(PullError, match="does not rise"):  # 130 rpm back is no noise
        pull_of(shaken)
    fine = [(2000.0 + 10 * n + (12 if n % 2 else 0), 200.0) for n in range(400)]
    pull = pull_of(fine)
    assert list(pull.speed) == sorted(pull.speed)
    assert len(pull.speed) >= 395


def test_equal_speeds_are_averaged() -> None:
    pull = pull_of([*RISE[:20], (RISE[20][0], 180.0), (RISE[20][0], 220.0), *RISE[21:]])
    at = list(pull.speed).index(RISE[20][0])
    assert pull.torque[at] == pytest.approx(200.0)
    assert len(pull.speed) == 41


def test_a_fall_in_the_middle_is_no_pull() -> None:
    with pytest.raises(PullError, match=r"4500 rpm on line 27, 3000 rpm here") as caught:
        pull_of([*RISE[:26], *((rpm, 200.0) for rpm in range(3000, 6101, 100))])
    assert caught.value.line == 28


def test_a_pull_is_multiplied_by_a_factor() -> None:
    pull = pull_of(RISE).times(1.05)
    assert pull.torque[0] == pytest.approx(210)
    assert pull.power[0] == pytest.approx(210 * 2000 / 9549.2966)
