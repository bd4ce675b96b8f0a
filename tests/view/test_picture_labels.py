"""Labels of a picture: none in another's way wherever the points lie, and each with its target."""

from __future__ import annotations

import math
import random
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from procedures_lib.fronts.paper.picture import _LETTERING as ON_PAPER
from procedures_lib.fronts.site.picture_html import DESK
from procedures_lib.language.entities.picture import Picture
from procedures_lib.view.picture import Mark, picture_view
from procedures_lib.view.picture_crowd import Box, Place, is_crowded, matched, nearest
from procedures_lib.view.picture_labels import (
    LETTERING,
    PHONE,
    Lettering,
    Placed,
    in_the_way,
    line_of,
    placed,
)
from procedures_lib.view.picture_targets import THUMB, targets
from tests.demo import demo

SIZES = [(1600, 1200), (1200, 1600), (1600, 900)]


def marks_at(points: list[tuple[int, int]], size: tuple[int, int]) -> tuple[Mark, ...]:
    wide, tall = size
    return tuple(
        Mark(min(max(x, 0), wide - 1), min(max(y, 0), tall - 1), f"{'ABCDE'[n % 5]}{n + 1}")
        for n, (x, y) in enumerate(points)
    )


def set_out(
    marks: tuple[Mark, ...], size: tuple[int, int], wide: float = PHONE, how: Lettering = LETTERING
) -> tuple[tuple[Placed, ...], Place]:
    scale = wide / size[0]
    sheet = wide, size[1] * scale
    return placed(marks, scale, sheet, how), sheet


def box_of(each: Placed, how: Lettering) -> Box:
    (x, y), half = each.label, how.wide(each.mark.label) / 2
    return x - half, y - how.high / 2, x + half, y + how.high / 2


def overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def is_inside(box: Box, sheet: Place) -> bool:
    return box[0] >= 0 and box[1] >= 0 and box[2] <= sheet[0] and box[3] <= sheet[1]


def ring_of(each: Placed, how: Lettering) -> Box:
    (x, y), ring = each.point, how.ring
    return x - ring, y - ring, x + ring, y + ring


def runs_through(each: Placed, box: Box, how: Lettering) -> bool:
    """Whether one of many points on a label's line lies in a box."""
    (x, y), (_, (at, down)) = each.point, line_of(each, how)
    for n in range(201):
        along, across = x + (at - x) * n / 200, y + (down - y) * n / 200
        if box[0] < along < box[2] and box[1] < across < box[3]:
            return True
    return False


def lines_through(found: tuple[Placed, ...], how: Lettering = LETTERING) -> int:
    return sum(
        runs_through(one, box_of(other, how), how)
        for one in found for other in found if one is not other
    )  # fmt: skip


def lines_crossed(found: tuple[Placed, ...], how: Lettering = LETTERING) -> int:
    def side(p: Place, q: Place, r: Place) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    lines = [(each.point, line_of(each, how)[1]) for each in found]
    return sum(
        side(*a, b[0]) * side(*a, b[1]) < 0 and side(*b, a[0]) * side(*b, a[1]) < 0
        for a, b in combinations(lines, 2)
    )


def is_clear(found: tuple[Placed, ...], sheet: Place, how: Lettering = LETTERING) -> bool:
    boxes = [box_of(each, how) for each in found]
    return (
        all(is_inside(box, sheet) for box in boxes)
        and not any(overlap(one, other) for one, other in combinations(boxes, 2))
        and not any(overlap(box, ring_of(each, how)) for box in boxes for each in found)
    )


@st.composite
def layouts(draw: st.DrawFn) -> tuple[tuple[Mark, ...], tuple[int, int]]:
    """Up to 14 points: anywhere, about up to three spots, on edges and in corners."""
    size = draw(st.sampled_from(SIZES))
    edges = (st.sampled_from([0, side - 1, -1]) for side in size)
    spot = st.tuples(*edges, st.integers(0, size[0]), st.integers(0, size[1]))
    spots = draw(st.lists(spot, min_size=1, max_size=3))
    near = draw(st.sampled_from([0, 20, 120, 2000]))
    count = draw(st.integers(1, 14))
    points = []
    for n in range(count):
        edge_x, edge_y, x, y = spots[n % len(spots)]
        away = st.integers(-near, near)
        points.append(((x if edge_x < 0 else edge_x) + draw(away),
                       (y if edge_y < 0 else edge_y) + draw(away)))  # fmt: skip
    return marks_at(points, size), size


@settings(max_examples=16, deadline=None, derandomize=True)
@given(layouts())
def test_no_label_covers_another_or_a_point_or_leaves_the_sheet(
    layout: tuple[tuple[Mark, ...], tuple[int, int]],
) -> None:
    marks, size = layout
    found, sheet = set_out(marks, size)
    assert [each.mark for each in found] == list(marks)
    assert is_clear(found, sheet)


@st.composite
def crowds(draw: st.DrawFn) -> tuple[tuple[Mark, ...], tuple[int, int]]:
    """Up to 14 points within 35 units of a corner, or along one edge."""
    size = draw(st.sampled_from(SIZES))
    unit, count = size[0] / PHONE, draw(st.integers(6, 14))
    corner = draw(st.tuples(*(st.sampled_from([0, side - 1]) for side in size)))
    across = draw(st.sampled_from([(35, 35), (12, 358), (358, 12), (12, 80), (80, 12)]))
    points = [tuple(abs(at - round(unit * draw(st.integers(0, far))))
                    for at, far in zip(corner, across, strict=True))
              for _ in range(count)]  # fmt: skip
    return marks_at([(x, y) for x, y in points], size), size


@settings(max_examples=24, deadline=None, derandomize=True)
@given(crowds())
def test_no_line_runs_through_a_name_unnoticed(
    layout: tuple[tuple[Mark, ...], tuple[int, int]],
) -> None:
    marks, size = layout
    found, sheet = set_out(marks, size)
    scale = PHONE / size[0]
    told = in_the_way(marks, scale, sheet, LETTERING)
    assert told or (is_clear(found, sheet) and lines_through(found) == 0)
    if told:
        assert len(marks) > 8
        assert len(told) > 1
        assert is_crowded(marks, scale)


@pytest.mark.parametrize("seed", range(6))
def test_ten_names_find_their_places_in_any_corner(seed: int) -> None:
    chance, size = random.Random(seed), SIZES[seed % 3]  # noqa: S311
    unit, corner = size[0] / PHONE, [chance.choice([0, side - 1]) for side in size]
    points = [[abs(at - round(unit * chance.uniform(0, 35))) for at in corner] for _ in range(10)]
    found, sheet = set_out(marks_at([(x, y) for x, y in points], size), size)
    assert is_clear(found, sheet)
    assert lines_through(found) == 0


@pytest.mark.parametrize("seed", range(8))
def test_a_crowd_is_matched_by_the_shortest_lines(seed: int) -> None:
    """Against scipy's linear_sum_assignment, which solves the same problem in its own way."""
    chance = random.Random(seed)  # noqa: S311
    count = chance.randint(1, 14)
    points = [(chance.uniform(0, 99), chance.uniform(0, 99)) for _ in range(count)]
    slots = [(chance.uniform(0, 300), chance.uniform(0, 300)) for _ in range(count + seed)]
    costs = [[math.dist(at, nearest(at, slot, 20, 14)) for slot in slots] for at in points]
    rows, columns = linear_sum_assignment(costs)
    best = sum(costs[row][column] for row, column in zip(rows, columns, strict=True))
    found = matched(points, slots, (40, 28))
    assert len(set(found)) == count
    lengths = (math.dist(a, nearest(a, b, 20, 14)) for a, b in zip(points, found, strict=True))
    assert sum(lengths) == pytest.approx(best)


@pytest.mark.parametrize("seed", range(4))
def test_lines_run_through_no_label_and_hardly_cross_where_points_lie_close(seed: int) -> None:
    chance, size = random.Random(seed), (1600, 1250)  # noqa: S311
    at = chance.randrange(500, 1100), chance.randrange(400, 850)
    points = [(at[0] + chance.randint(-160, 160), at[1] + chance.randint(-160, 160))
              for _ in range(10)]  # fmt: skip
    found, sheet = set_out(marks_at(points, size), size)
    assert is_clear(found, sheet)
    assert lines_through(found) == 0
    assert lines_crossed(found) <= 3


def demo_pictures() -> list[tuple[str, tuple[Mark, ...]]]:
    found = []
    for page, content in demo().contents.items():
        for entity in content.entities:
            if isinstance(entity, Picture) and entity.file.startswith("../pictures/"):
                view = picture_view(entity, demo().scope(page))
                found.append((entity.id, tuple(m for each in view.things for m in each.marks)))
    return found


@pytest.mark.parametrize("wide", [PHONE, DESK])
def test_in_the_demo_nothing_is_in_the_way_and_no_lines_cross(wide: float) -> None:
    pictures = demo_pictures()
    assert len(pictures) > 40
    for name, marks in pictures:
        found, sheet = set_out(marks, (1600, 1000), wide)
        if all(mark.y < 1000 and mark.x < 1600 for mark in marks):
            assert is_clear(found, sheet), name
            assert lines_through(found) == 0, name
            assert lines_crossed(found) == 0, name


def test_on_paper_too() -> None:
    for name, marks in demo_pictures():
        found, sheet = set_out(marks, (1600, 1400), 263.0, ON_PAPER)
        assert is_clear(found, sheet, ON_PAPER), name
        assert lines_through(found, ON_PAPER) == 0, name


def test_the_same_marks_have_the_same_places() -> None:
    marks = marks_at([(n * 37 % 500 + 400, n * 91 % 300 + 300) for n in range(12)], (1600, 1200))
    first, _ = set_out(marks, (1600, 1200))
    placed.cache_clear()
    assert set_out(marks, (1600, 1200))[0] == first


@settings(max_examples=12, deadline=None, derandomize=True)
@given(layouts())
def test_no_spot_of_a_picture_opens_two_things(
    layout: tuple[tuple[Mark, ...], tuple[int, int]],
) -> None:
    found, sheet = set_out(*layout)
    things = [found[:3], found[3:5], found[5:]]
    boxes = targets(things, sheet, LETTERING)
    for one, other in combinations(boxes, 2):
        assert not any(overlap(a, b) for a in one for b in other)
    for marks, mine in zip(things, boxes, strict=True):
        assert len(mine) == 2 * len(marks)
        assert all(is_inside(box, sheet) for box in mine)
        for each, box in zip(marks, mine[1::2], strict=True):
            assert box[0] < each.label[0] < box[2]
            assert box[1] < each.label[1] < box[3]


def test_a_target_is_as_large_as_a_thumb_where_no_other_is_near() -> None:
    marks = marks_at([(400, 400), (1200, 800)], (1600, 1200))
    found, sheet = set_out(marks, (1600, 1200))
    for mine in targets([found[:1], found[1:]], sheet, LETTERING):
        for left, top, right, foot in mine:
            assert right - left >= THUMB - 0.1
            assert foot - top >= THUMB - 0.1


def test_a_target_at_the_edge_or_beside_another_grows_to_its_free_side() -> None:
    marks = marks_at([(12, 12), (1590, 600), (780, 1190), (840, 1190)], (1600, 1200))
    found, sheet = set_out(marks, (1600, 1200))
    for mine in targets([found[n : n + 1] for n in range(len(found))], sheet, LETTERING):
        for left, top, right, foot in mine[1::2]:  # the labels: rings may crowd
            assert right - left >= THUMB - 0.1
            assert foot - top >= THUMB - 0.1
