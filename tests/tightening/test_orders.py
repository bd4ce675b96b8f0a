"""Tightening orders from positions, against printed cross patterns."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.tightening.order_proposal import (
    centre_out,
    cross_order,
    order_by_pattern,
    propose,
)
from procedures_lib.engineering.tightening.pattern import clockwise
from tests.tightening.layouts import Positions, circle, row, star_table, two_rows

RULED = st.floats(-500, 500).map(lambda mm: round(mm, 1))
POINTS = st.lists(st.tuples(RULED, RULED), min_size=1, max_size=30, unique=True)
ANY_LAYOUT = POINTS.map(lambda points: {f"b{n}": at for n, at in enumerate(points)})


@pytest.mark.parametrize(("count", "order"), star_table().items())
def test_the_printed_cross_patterns(count: int, order: tuple[str, ...]) -> None:
    # ASME PCC-1, legacy cross pattern: tests/tightening/pcc1_sequences.csv
    assert order_by_pattern(circle(count), "cross") == order
    assert propose(circle(count)) == ("cross", order)


def test_five_and_six_bolt_wheels() -> None:
    # Common practice, no source: a star of five; opposite pairs of six.
    assert cross_order(5) == (1, 3, 5, 2, 4)
    six = cross_order(6)
    assert all(abs(six[n] - six[n + 1]) == 3 for n in (0, 2, 4))


@given(st.integers(1, 300))
def test_every_bolt_comes_once_and_opposite_bolts_follow_each_other(count: int) -> None:
    order = cross_order(count)
    assert sorted(order) == list(range(1, count + 1))
    if count % 2 == 0:
        pairs = zip(order[::2], order[1::2], strict=True)
        assert all((one - two) % count == count // 2 for one, two in pairs)


@given(st.integers(5, 99).filter(lambda count: count % 2))
def test_an_odd_star_goes_almost_half_way_round_each_time(count: int) -> None:
    order = cross_order(count)
    assert {(two - one) % count for one, two in pairwise(order)} == {count // 2}


@given(ANY_LAYOUT, st.sampled_from(["cross", "centre-out"]))
def test_any_layout_gives_every_name_once(positions: Positions, pattern: str) -> None:
    assert sorted(order_by_pattern(positions, pattern)) == sorted(positions)
    assert sorted(propose(positions)[1]) == sorted(positions)


@given(ANY_LAYOUT)
def test_centre_out_never_comes_back_towards_the_middle(positions: Positions) -> None:
    x = sum(at[0] for at in positions.values()) / len(positions)
    y = sum(at[1] for at in positions.values()) / len(positions)
    away = [math.dist(positions[name], (x, y)) for name in centre_out(positions)]
    slack = 0.005 * max(away) + 1e-9
    assert all(later >= earlier - slack for earlier, later in pairwise(away))


@given(ANY_LAYOUT, st.floats(-1e4, 1e4), st.sampled_from([0.5, 2.0, 8.0]))
def test_an_order_does_not_ask_where_the_drawing_begins_or_how_large_it_is(
    positions: Positions, shift: float, scale: float
) -> None:
    moved = {name: (x * scale + round(shift), y * scale) for name, (x, y) in positions.items()}
    assert sorted(propose(moved)[1]) == sorted(propose(positions)[1])
    assert propose(moved)[0] == propose(positions)[0]


def test_clockwise_from_the_one_nearest_the_top() -> None:
    assert clockwise(circle(5)) == ["1", "2", "3", "4", "5"]
    square = {"ll": (0.0, 0.0), "lr": (9.0, 0.0), "ul": (0.0, 9.0), "ur": (9.0, 9.0)}
    assert clockwise(square) == ["ur", "lr", "ll", "ul"]
    assert order_by_pattern(square, "cross") == ("ur", "ll", "lr", "ul")


@pytest.mark.parametrize("count", [2, 5, 7, 10, 41])
def test_a_row_from_the_centre_outwards(count: int) -> None:
    order = centre_out(row(count))
    away = [abs(int(name) - (count + 1) / 2) for name in order]
    assert away == sorted(away)
    assert propose(row(count)) == ("centre-out", order)


@pytest.mark.parametrize("columns", [3, 4, 5, 6])
def test_two_rows_from_the_centre_outwards_and_across(columns: int) -> None:
    word, order = propose(two_rows(columns))
    place = [(int(name) - 1) % columns for name in order]
    away = [abs(column - (columns - 1) / 2) for column in place]
    assert word == "centre-out"
    assert away == sorted(away)


def test_a_ruler_is_off_by_a_millimetre() -> None:
    ruled = {"a": (0.0, 1.0), "b": (101.0, 0.0), "c": (199.0, 0.0), "d": (300.0, 1.0)}
    ruled |= {"e": (0.0, 90.0), "f": (100.0, 91.0), "g": (200.0, 90.0), "h": (301.0, 90.0)}
    order = propose(ruled)[1]
    assert set(order[:4]) == {"b", "c", "f", "g"}
    assert order[0] + order[1] in {"bg", "gb", "cf", "fc"}, "across first"


def test_single_bolt() -> None:
    assert order_by_pattern({"only": (3.0, 4.0)}, "cross") == ("only",)
    assert order_by_pattern({"only": (3.0, 4.0)}, "centre-out") == ("only",)


def test_two_bolts_at_one_place_are_both_named() -> None:
    assert sorted(propose({"a": (5.0, 5.0), "b": (5.0, 5.0)})[1]) == ["a", "b"]
