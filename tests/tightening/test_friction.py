"""Ranges of friction against the classes of VDI 2230-1, Table A5, as reprinted:

A 0.04-0.10, B 0.08-0.16, C 0.14-0.24, D 0.20-0.35, E from 0.30.
"""

from __future__ import annotations

import pytest

from procedures_lib.engineering.tightening.bounds import Interval
from procedures_lib.engineering.tightening.friction import NOT_KNOWN, friction_for, friction_ranges
from procedures_lib.language.entities.car import CONDITIONS

USUAL = {
    "dry": Interval(0.14, 0.24),  # class C: no lubricant
    "oiled": Interval(0.08, 0.16),  # class B: oils
    "greased": Interval(0.08, 0.16),  # class B: greases
    "anti-seize": Interval(0.08, 0.16),  # class B: pastes
    "thread-locker": Interval(0.10, 0.20),  # common practice, no source
    "thread-sealant": Interval(0.08, 0.20),  # common practice, no source
    "as supplied": Interval(0.10, 0.24),  # classes B and C: delivery state
}


def test_every_condition_of_the_page_language_has_its_range() -> None:
    assert {name for name, _ in friction_ranges()} == {*CONDITIONS, NOT_KNOWN}
    assert set(USUAL) == set(CONDITIONS)


@pytest.mark.parametrize("condition", CONDITIONS)
def test_a_range_holds_what_the_classes_say(condition: str) -> None:
    found, usual = friction_for(condition).range, USUAL[condition]
    assert found.low <= usual.low
    assert usual.high <= found.high


@pytest.mark.parametrize("condition", CONDITIONS)
def test_stainless_steel_rubs_at_least_as_hard(condition: str) -> None:
    plain, stainless = friction_for(condition), friction_for(condition, stainless=True)
    assert stainless.range.low == plain.range.low
    assert stainless.range.high > plain.range.high


def test_what_is_not_known_has_the_widest_range() -> None:
    widest = friction_for("").range
    assert friction_for("no such word").range == widest
    for (_, stainless), friction in friction_ranges().items():
        if not stainless:
            assert widest.low <= friction.range.low <= friction.range.high <= widest.high


def test_every_range_says_where_it_comes_from() -> None:
    for friction in friction_ranges().values():
        assert "VDI 2230" in friction.source
        assert 0.03 < friction.range.low < friction.range.high <= 0.5
