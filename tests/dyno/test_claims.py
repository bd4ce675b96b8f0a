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
    verdict = judge("power", claimed, measured, measured, at_wheels=wheels)
    assert verdict.word == word
    assert verdict.why


@pytest.mark.parametrize(
    ("peak", "band", "word", "why"),
    [
        (Interval(12, 2), Interval(3, 1), "met", "the band has a gain too"),
        (Interval(12, 2), Interval(0.5, 1), "can't tell", "met at the peak alone"),
        (Interval(12, 2), Interval(-4, 1), "can't tell", "met at the peak alone"),
        (Interval(3, 1), Interval(2, 1), "not met", "at the peak and over the band"),
        (Interval(3, 1), Interval(9, 2), "can't tell", "may be over the band"),
        (Interval(9, 2), Interval(2, 1), "can't tell", "inside the interval"),
    ],
)
def test_peak_and_band_are_judged_together(
    peak: Interval, band: Interval, word: str, why: str
) -> None:
    verdict = judge("power", 10, peak, band, at_wheels=False)
    assert verdict.word == word
    assert why in verdict.why
