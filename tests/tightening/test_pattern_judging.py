"""Which orders are faults, and that no order of a competent maker is one."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.tightening.order_proposal import propose
from procedures_lib.engineering.tightening.pattern import Fault, Shape, judge_order, pattern_of
from tests.tightening.layouts import Positions, circle, row, star_table, two_rows, words

RECTANGLE = {"ll": (0.0, 0.0), "lr": (420.0, 0.0), "ul": (0.0, 180.0), "ur": (420.0, 180.0)}
FAR_PAIRS = {"lr": (0.0, 0.0), "lf": (0.0, 90.0), "rr": (980.0, 0.0), "rf": (980.0, 90.0)}
# A cover with ten bolts, not quite round; and a rail whose holes stand to and fro.
OVAL = {
    "1": (0.0, 130.0), "2": (84.0, 112.0), "3": (128.0, 44.0), "4": (128.0, -44.0),
    "5": (84.0, -112.0), "6": (0.0, -130.0), "7": (-84.0, -112.0), "8": (-128.0, -44.0),
    "9": (-128.0, 44.0), "10": (-84.0, 112.0),
}  # fmt: skip
RAIL = {"1": (0.0, 12.0), "2": (92.0, -12.0), "3": (150.0, 12.0), "4": (218.0, -12.0),
        "5": (276.0, 12.0), "6": (368.0, -12.0)}  # fmt: skip


def in_turn(positions: Positions, start: int = 0) -> tuple[str, ...]:
    names = tuple(positions)
    return names[start:] + names[:start]


@given(st.integers(4, 40), st.integers(0, 39), st.booleans(), st.floats(0, 6.28))
def test_round_a_circle_from_any_bolt_in_either_direction(
    count: int, start: int, back: bool, turned: float
) -> None:
    positions = circle(count, turned=turned)
    order = in_turn(positions, start % count)
    assert judge_order(positions, order[::-1] if back else order) is Fault.ROUND


@pytest.mark.parametrize("positions", [RECTANGLE, OVAL])
def test_round_a_rectangle_and_a_cover_that_is_not_quite_round(positions: Positions) -> None:
    ring = pattern_of(positions).rows[0]
    assert pattern_of(positions).shape is Shape.RING
    assert judge_order(positions, ring) is Fault.ROUND


@pytest.mark.parametrize(("count", "order"), star_table().items())
def test_the_legacy_cross_patterns_are_left_alone(count: int, order: tuple[str, ...]) -> None:
    # ASME PCC-1, legacy cross pattern: tests/tightening/pcc1_sequences.csv
    assert judge_order(circle(count), order) is None


# The ideas of the alternatives in ASME PCC-1 (from 2010 on, appendix F), orders written out from
# memory: opposite pairs step by step, quadrants, the first four across and then the rest in turn.
# Those of wheels are common practice, no source.
GOOD = [
    (4, "1 2 4 3"),
    (5, "1 3 5 2 4"),
    (5, "1 4 2 5 3"),
    (6, "1 4 2 5 3 6"),
    (6, "1 3 5 2 4 6"),
    (6, "1 4 2 3 5 6"),
    (8, "1 5 2 6 3 7 4 8"),
    (8, "1 3 5 7 2 4 6 8"),
    (8, "1 5 3 7 2 4 6 8"),
    (12, "1 7 4 10 2 3 5 6 8 9 11 12"),
    (12, "1 4 7 10 2 5 8 11 3 6 9 12"),
    (16, "1 2 9 10 5 6 13 14 3 4 11 12 7 8 15 16"),
    (16, "1 5 9 13 2 6 10 14 3 7 11 15 4 8 12 16"),
    (24, "1 13 7 19 2 14 8 20 3 15 9 21 4 16 10 22 5 17 11 23 6 18 12 24"),
]


@pytest.mark.parametrize(("count", "order"), GOOD)
def test_other_good_orders_of_a_circle_are_left_alone(count: int, order: str) -> None:
    assert judge_order(circle(count), words(order)) is None


@given(st.integers(1, 60))
def test_what_is_proposed_for_a_circle_is_left_alone(count: int) -> None:
    assert judge_order(circle(count), propose(circle(count))[1]) is None


@pytest.mark.parametrize("order", ["ll ur lr ul", "ul lr ur ll", "ll lr ul ur", "lr ul ur ll"])
def test_a_rectangle_crosswise_or_in_the_shape_of_a_z(order: str) -> None:
    assert judge_order(RECTANGLE, words(order)) is None


@pytest.mark.parametrize("count", range(4, 12))
def test_a_row_from_one_end(count: int) -> None:
    order = in_turn(row(count))
    assert judge_order(row(count), order) is Fault.FROM_ONE_END
    assert judge_order(row(count), order[::-1]) is Fault.FROM_ONE_END
    assert judge_order(row(count), propose(row(count))[1]) is None


def test_a_rail_whose_holes_stand_to_and_fro() -> None:
    assert judge_order(RAIL, in_turn(RAIL)) is Fault.FROM_ONE_END
    assert judge_order(RAIL, words("3 4 2 5 1 6")) is None


@pytest.mark.parametrize(
    "order",
    [
        "1 6 2 7 3 8 4 9 5 10",  # pair by pair
        "1 6 7 2 3 8 9 4 5 10",  # to and fro
        "1 2 3 4 5 6 7 8 9 10",  # one row, then the other
        "1 2 3 4 5 10 9 8 7 6",  # there and back
        "5 10 4 9 3 8 2 7 1 6",  # from the other end
    ],
)
def test_a_head_of_two_rows_from_one_end(order: str) -> None:
    assert judge_order(two_rows(5), words(order)) is Fault.FROM_ONE_END


# Orders from the middle as cylinder heads of ten bolts have them: common practice, no source.
@pytest.mark.parametrize(
    "order",
    [
        "3 8 2 9 4 7 1 10 5 6",
        "3 8 4 7 2 9 5 6 1 10",
        "8 3 9 4 7 2 10 5 6 1",
        "3 8 9 4 2 7 6 1 5 10",
        "8 3 4 9 7 2 1 6 10 5",
        "3 8 7 2 4 9 10 5 1 6",  # a spiral
    ],
)
def test_heads_from_the_middle_are_left_alone(order: str) -> None:
    assert judge_order(two_rows(5), words(order)) is None


@pytest.mark.parametrize("columns", [3, 4, 5, 6, 9])
def test_what_is_proposed_for_two_rows_is_left_alone(columns: int) -> None:
    positions = two_rows(columns)
    assert pattern_of(positions).shape is Shape.TWO_ROWS
    assert judge_order(positions, propose(positions)[1]) is None


def test_from_the_ends_inwards_is_left_alone() -> None:
    assert judge_order(row(6), words("1 6 2 5 3 4")) is None


@pytest.mark.parametrize("count", [1, 2, 3])
@pytest.mark.parametrize("layout", [circle, row])
def test_three_or_fewer_are_never_judged(count: int, layout: type) -> None:
    positions = layout(count)
    assert judge_order(positions, in_turn(positions)) is None


@pytest.mark.parametrize("order", ["lr lf rr rf", "lf lr rr rf", "lf rr lr rf"])
def test_two_pairs_far_apart_are_never_judged(order: str) -> None:
    assert judge_order(FAR_PAIRS, words(order)) is None


def test_an_arc_is_no_circle() -> None:
    ring = circle(12)
    arc = {name: ring[name] for name in ("10", "11", "12", "1", "2", "3", "4")}
    assert pattern_of(arc).shape is not Shape.RING
    assert judge_order(arc, words("12 1 11 2 10 3 4")) is None


def test_a_block_of_nine_is_not_judged() -> None:
    block = {f"{x}{y}": (x * 50.0, y * 50.0) for x in range(3) for y in range(3)}
    assert pattern_of(block).shape is Shape.OTHER
    assert judge_order(block, tuple(block)) is None


@pytest.mark.parametrize("order", ["1 2 3", "1 2 3 3", "1 2 3 ghost", "1 2 3 4 4"])
def test_an_order_that_is_not_whole_is_not_judged(order: str) -> None:
    assert judge_order(circle(4), words(order)) is None


def test_two_at_one_place_are_not_judged() -> None:
    positions = {**circle(6), "7": circle(6)["1"]}
    assert judge_order(positions, in_turn(positions)) is None


@given(st.permutations([str(n) for n in range(1, 9)]))
def test_of_all_orders_of_eight_only_those_in_turn_are_faults(order: list[str]) -> None:
    numbers = [int(name) for name in order]
    steps = {(two - one) % 8 for one, two in pairwise(numbers)}
    fault = judge_order(circle(8), order)
    assert (fault is Fault.ROUND) == (steps in ({1}, {7}))
