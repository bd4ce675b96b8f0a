"""Tightening orders from positions, against printed cross patterns."""

from __future__ import annotations

import math

import pytest

from procedures_lib.tightening.orders import centre_out, clockwise, cross_order, order_by_pattern

# ASME PCC-1, legacy cross pattern (Table 3 or 4 by edition), bolts numbered clockwise by position;
# two public code tables that cite it agree.
PCC_1 = {
    4: "1 3 2 4",
    8: "1 5 3 7 2 6 4 8",
    12: "1 7 4 10 2 8 5 11 3 9 6 12",
    16: "1 9 5 13 3 11 7 15 2 10 6 14 4 12 8 16",
}


def circle(count: int) -> dict[str, tuple[float, float]]:
    """Positions "1", "2", … clockwise from the top, in mm."""
    turns = {str(n + 1): 2 * math.pi * n / count for n in range(count)}
    return {name: (50 * math.sin(turn), 50 * math.cos(turn)) for name, turn in turns.items()}


@pytest.mark.parametrize(("count", "order"), PCC_1.items())
def test_the_printed_cross_patterns(count: int, order: str) -> None:
    assert " ".join(order_by_pattern(circle(count), "cross")) == order


def test_five_and_six_bolt_wheels() -> None:
    # Common practice, no source: a star of five; opposite pairs of six.
    assert cross_order(5) == (1, 3, 5, 2, 4)
    six = cross_order(6)
    assert all(abs(six[n] - six[n + 1]) == 3 for n in (0, 2, 4))


@pytest.mark.parametrize("count", [*range(1, 33)])
def test_every_bolt_comes_once_and_opposite_bolts_follow_each_other(count: int) -> None:
    order = cross_order(count)
    assert sorted(order) == list(range(1, count + 1))
    if count % 2 == 0:
        pairs = zip(order[::2], order[1::2], strict=True)
        assert all((one - two) % count == count // 2 for one, two in pairs)


def test_clockwise_from_the_one_nearest_the_top() -> None:
    assert clockwise(circle(5)) == ["1", "2", "3", "4", "5"]
    square = {"ll": (0.0, 0.0), "lr": (9.0, 0.0), "ul": (0.0, 9.0), "ur": (9.0, 9.0)}
    assert clockwise(square) == ["ur", "lr", "ll", "ul"]
    assert order_by_pattern(square, "cross") == ("ur", "ll", "lr", "ul")


def test_from_the_centre_outwards() -> None:
    row = {str(n): (10.0 * n, 0.0) for n in range(1, 8)}
    order = centre_out(row)
    assert order[0] == "4"
    assert {order[1], order[2]} == {"3", "5"}
    assert {order[-1], order[-2]} == {"1", "7"}
    away = [abs(int(name) - 4) for name in order]
    assert away == sorted(away)


def test_single_bolt() -> None:
    assert order_by_pattern({"only": (3.0, 4.0)}, "cross") == ("only",)
    assert order_by_pattern({"only": (3.0, 4.0)}, "centre-out") == ("only",)
