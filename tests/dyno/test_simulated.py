"""Sessions of engines that are known: what intervals hold, which faults are found, what is clean.

A small run of ``python -m tests.benchmarks.coverage``, whose table stands in the reference.
"""

from __future__ import annotations

from array import array
from math import exp
from random import Random

import pytest

from procedures_lib.engineering.dyno.noise import noise_share, without_leaps
from procedures_lib.engineering.dyno.pull import KW_RPM, Pull
from procedures_lib.judging.checks.catalogue import CATALOGUE
from tests.benchmarks.coverage import SESSIONS
from tests.dyno.simulated import any_clean, hits, pulls, worked_out
from tests.dyno.simulated_faults import FAULTS

RUNS = 120


@pytest.mark.parametrize(
    "name", ["no gain, noise 0.25 and 3 %, 3+3", "noise 0.25 and 3 %, 2+2",
             "scatter 0.2 and 1 %, 3+3", "drift of 1 % an hour, in turns, 3+3"]
)  # fmt: skip
def test_intervals_hold_the_truth(name: str) -> None:
    """95 % of 120, three standard deviations down: 107."""
    random = Random(f"1 {name}")  # noqa: S311 - noise, no secret
    session = SESSIONS[name]
    held = [hits(session, worked_out(session, random, doubted=False)[0]) for _ in range(RUNS)]
    for column in zip(*held, strict=True):
        assert sum(column) >= 107


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_is_said(fault: str) -> None:
    make, check = FAULTS[fault]
    random = Random(f"2 {fault}")  # noqa: S311 - noise, no secret
    assert CATALOGUE[check].family == "dyno"
    for _ in range(4):
        _, found = worked_out(make(), random)
        assert [doubt.check for doubt in found] == [check], [doubt.message for doubt in found]


def test_a_session_without_a_fault_is_not_doubted() -> None:
    random = Random("3")  # noqa: S311 - noise, no secret
    for _ in range(40):
        session = any_clean(random)
        _, found = worked_out(session, random)
        assert [doubt.message for doubt in found] == [], session


def test_the_noise_is_that_of_the_rows() -> None:
    random = Random("4")  # noqa: S311 - noise, no secret
    for name, noise in (("noise 0.25 and 3 %, 6+6", (0.0025, 0.03)),):
        for which in (0, 1):
            shares = [noise_share(p.speed, p.torque) for p in pulls(SESSIONS[name], which, random)]
            assert sum(shares) / len(shares) == pytest.approx(noise[which], rel=0.15)


def test_a_row_that_leaps_is_left_out_and_no_other() -> None:
    make, _ = FAULTS["one row 40 % too high in each pull after"]
    pull = pulls(make(), 1, Random("5"))[0]  # noqa: S311 - noise, no secret
    clean, leaps = without_leaps(pull)
    (leap,) = leaps
    assert leap.share == pytest.approx(0.4, abs=0.02)
    assert leap.at == pytest.approx(5500, abs=15)
    assert len(clean.speed) == len(pull.speed) - 1
    assert leap.at not in clean.speed
    assert without_leaps(clean) == (clean, ())


def test_an_overshoot_of_boost_is_no_leap() -> None:
    """A tenth more at 2,400 rpm, over 150 rpm to both sides, in rows 25 and 100 rpm apart."""
    for step in (25, 100):
        speed = array("d", range(1500, 6501, step))
        values = array("d", (200 * (1 + 0.1 * exp(-(((n - 2400) / 75) ** 2))) for n in speed))
        power = array("d", (t * n / KW_RPM for n, t in zip(speed, values, strict=True)))
        assert without_leaps(Pull(speed, values, power))[1] == ()
