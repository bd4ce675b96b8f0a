"""Claims: met, not met, can't tell. 15 % for the driveline is common practice (no source)."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.dyno.gain import judge
from procedures_lib.engineering.dyno.gain_interval import Interval


@pytest.mark.parametrize(
    ("claimed", "measured", "wheels", "word"),
    [
        (10, Interval(14, 2), False, "met"),
        (10, Interval(12, 2), False, "met"),
        (10, Interval(11, 2), False, "can't tell"),
        (10, Interval(7, 2), False, "not met"),
        (10, Interval(9.4, 0.5), True, "can't tell"),
        (10, Interval(8, 0.4), True, "not met"),
        (10, Interval(8.2, 0.4), True, "can't tell"),
        (10, Interval(3), True, "can't tell"),
        (-5, Interval(-3, 1), True, "met"),
        (-5, Interval(-8, 1), True, "not met"),
    ],
)
def test_verdicts(claimed: float, measured: Interval, wheels: bool, word: str) -> None:
    verdict = judge("power", claimed, measured, at_wheels=wheels)
    assert verdict.word == word
    assert verdict.why
