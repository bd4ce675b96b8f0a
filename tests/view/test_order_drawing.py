"""The drawing of a tightening order: what stands where, and what it says in words."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest

from procedures_lib.fronts.site.order_figure import is_wide, order_svg
from procedures_lib.fronts.tables.words import front_text, text_alternative
from procedures_lib.view.order_drawing import (
    Pattern,
    _places,
    drawing_of,
    front_from_names,
    sheet_for,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

SVG = "{http://www.w3.org/2000/svg}"
SQUARE = (
    ("lower left", (0.0, 0.0)),
    ("lower right", (420.0, 0.0)),
    ("upper left", (0.0, 180.0)),
    ("upper right", (420.0, 180.0)),
)
ORDER = ("lower left", "upper right", "lower right", "upper left")
PATTERN = Pattern("Cooler bolts", SQUARE, ORDER, "up")


def drawn(pattern: Pattern) -> ET.Element:
    return ET.fromstring(order_svg(pattern))  # noqa: S314 - our own text


def circles(root: ET.Element) -> list[tuple[float, float]]:
    return [(float(c.attrib["cx"]), float(c.attrib["cy"])) for c in root.iter(f"{SVG}circle")]


def texts(root: ET.Element) -> Iterator[tuple[str, float, float]]:
    for text in root.iter(f"{SVG}text"):
        yield text.text or "", float(text.attrib["x"]), float(text.attrib["y"])


def numbers(root: ET.Element) -> dict[str, tuple[float, float]]:
    return {text: (x, y) for text, x, y in texts(root) if text.replace("/", "").isdigit()}


def test_bolts_are_numbered_in_tightening_order_where_they_are() -> None:
    root = drawn(PATTERN)
    at = {name: place for (name, _), place in zip(SQUARE, circles(root), strict=True)}
    found = numbers(root)
    assert sorted(found) == ["1", "2", "3", "4"]
    for number, name in enumerate(ORDER, start=1):
        x, y = found[str(number)]
        assert x == at[name][0]
        assert abs(y - at[name][1]) < 8


def test_y_points_upwards_and_the_shape_is_true() -> None:
    lower_left, lower_right, upper_left, upper_right = circles(drawn(PATTERN))
    assert upper_left[1] < lower_left[1]  # SVG counts downwards
    assert lower_right[0] > lower_left[0]
    width, height = lower_right[0] - lower_left[0], lower_left[1] - upper_left[1]
    assert width / height == pytest.approx(420 / 180, rel=0.01)
    assert upper_right == (lower_right[0], upper_left[1])


@pytest.mark.parametrize("scale", [0.01, 1, 100])
def test_everything_lies_within_the_picture(scale: float) -> None:
    places = tuple((name, (x * scale, y * scale)) for name, (x, y) in SQUARE)
    root = drawn(Pattern("P", places, ORDER, "down"))
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    assert all(15 <= x <= width - 15 and 15 <= y <= height - 15 for x, y in circles(root))
    assert all(0 <= x <= width and 0 <= y <= height for _, x, y in texts(root))


def test_lines_lead_from_number_to_number_and_cross_none() -> None:
    root = drawn(PATTERN)
    places = circles(root)
    by_name = {name: at for (name, _), at in zip(SQUARE, places, strict=True)}
    lines = [
        (
            (float(e.attrib["x1"]), float(e.attrib["y1"])),
            (float(e.attrib["x2"]), float(e.attrib["y2"])),
        )
        for e in root.iter(f"{SVG}line")
    ]
    assert len(lines) == 3
    for (start, end), here, there in zip(lines, ORDER, ORDER[1:], strict=False):
        assert math.dist(start, by_name[here]) == pytest.approx(15, abs=0.2)
        assert math.dist(end, by_name[there]) == pytest.approx(15, abs=0.2)


@pytest.mark.parametrize(
    ("front", "words", "side"),
    [
        ("up", "front of the car at the top", "top"),
        ("down", "front of the car at the bottom", "bottom"),
        ("left", "front of the car on the left", "left"),
        ("right", "front of the car on the right", "right"),
    ],
)
def test_the_front_of_the_car_is_marked_on_its_side(front: str, words: str, side: str) -> None:
    pattern = Pattern("P", SQUARE, ORDER, front)
    root = drawn(pattern)
    assert words in text_alternative(pattern)
    (mark,) = [(x, y) for text, x, y in texts(root) if text == "front of car"]
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    near = {"top": mark[1] < 30, "bottom": mark[1] > height - 30,
            "left": mark[0] < width / 3, "right": mark[0] > width * 2 / 3}  # fmt: skip
    assert near[side]
    assert len(list(root.iter(f"{SVG}path"))) == 1


@pytest.mark.parametrize("front", ["toward you", "away from you"])
def test_a_front_in_the_line_of_sight_is_said_in_words(front: str) -> None:
    root = drawn(Pattern("P", SQUARE, ORDER, front))
    assert f"front of car: {front}" in [text for text, _, _ in texts(root)]
    assert f"front of the car {front}" in front_text(front)


def test_a_front_that_the_page_does_not_give() -> None:
    assert "does not say where the car's front lies" in text_alternative(
        Pattern("P", SQUARE, ORDER)
    )
    assert "front of car: see text" in [
        text for text, _, _ in texts(drawn(Pattern("P", SQUARE, ())))
    ]


def test_the_drawing_in_words() -> None:
    assert text_alternative(PATTERN) == (
        "Cooler bolts. Tightening order of 4: 1 lower left, 2 upper right, 3 lower right,"
        " 4 upper left. Seen from the side the tool is on; front of the car at the top."
    )
    root = drawn(PATTERN)
    desc = root.find(f"{SVG}desc")
    assert desc is not None
    assert desc.text == root.attrib["aria-label"] == text_alternative(PATTERN)
    assert root.attrib["role"] == "img"


def test_positions_without_an_order_have_no_numbers() -> None:
    pattern = Pattern("P", SQUARE, ())
    root = drawn(pattern)
    assert (len(circles(root)), numbers(root), list(root.iter(f"{SVG}line"))) == (4, {}, [])
    assert "Pattern of 4 positions; the page gives no order." in text_alternative(pattern)


def test_an_order_that_names_an_unknown_position_keeps_its_numbers() -> None:
    pattern = Pattern("P", SQUARE, ("lower left", "ghost", "upper right"))
    assert sorted(numbers(drawn(pattern))) == ["1", "3"]
    assert "1 lower left, 2 ghost, 3 upper right" in text_alternative(pattern)


def test_a_position_that_comes_twice_has_both_numbers() -> None:
    pattern = Pattern("P", SQUARE, ("lower left", "upper right", "lower left"))
    assert sorted(numbers(drawn(pattern))) == ["1/3", "2"]


def test_a_single_position() -> None:
    root = drawn(Pattern("P", (("only", (7.0, 7.0)),), ("only",)))
    ((x, y),) = circles(root)
    assert (x, sorted(numbers(root))) == (170, ["1"])
    assert y > 0


def test_two_positions_on_one_point() -> None:
    root = drawn(Pattern("P", (("a", (5.0, 5.0)), ("b", (5.0, 5.0))), ("a", "b")))
    assert len(set(circles(root))) == 1
    assert list(root.iter(f"{SVG}line")) == []


@pytest.mark.parametrize("places", [((0, 0), (0, 300)), ((0, 0), (300, 0))])
def test_positions_in_a_row(places: tuple[tuple[float, float], ...]) -> None:
    named = tuple((str(n), (float(x), float(y))) for n, (x, y) in enumerate(places))
    (x1, y1), (x2, y2) = circles(drawn(Pattern("P", named, ())))
    assert (x1 == x2) != (y1 == y2)


def test_names_are_escaped() -> None:
    bad = "<script>alert('x')</script> & \"quoted\""
    svg = order_svg(Pattern(bad, ((bad, (0.0, 0.0)),), (bad,)))
    assert "<script" not in svg
    root = ET.fromstring(svg)  # noqa: S314 - our own text
    assert bad in [text.text for text in root.iter(f"{SVG}text")]
    assert bad in root.attrib["aria-label"]


def test_it_can_be_read_in_black_and_white() -> None:
    svg = order_svg(PATTERN)
    assert "currentColor" in svg
    assert "#" not in svg.replace("http://www.w3.org/2000/svg", "")


@pytest.mark.parametrize(
    ("places", "front"),
    [
        ({"front left": (0, 9), "rear left": (0, 0)}, "up"),
        ({"front left": (0, 0), "rear left": (0, 9)}, "down"),
        ({"Front": (9, 0), "Rear": (0, 1)}, "right"),
        ({"front": (0, 0), "rear": (9, 1)}, "left"),
        ({"front": (0, 0), "rear": (5, 5)}, ""),
        ({"front": (0, 0), "left": (5, 5)}, ""),
        ({"confront": (0, 9), "rearward": (0, 0)}, ""),
    ],
)
def test_names_that_say_where_the_front_lies(
    places: dict[str, tuple[float, float]], front: str
) -> None:
    assert front_from_names(Pattern("P", tuple(places.items()), ())) == front


def crowd(count: int) -> Pattern:
    turns = {f"bolt {n}": 2 * math.pi * n / count for n in range(count)}
    places = {name: (50 * math.sin(turn), 50 * math.cos(turn)) for name, turn in turns.items()}
    return Pattern("P", tuple(places.items()), tuple(places), "up")


@pytest.mark.parametrize("count", [5, 12, 24, 25, 60, 200])
def test_bolts_never_touch_and_numbers_stay_large_enough_to_read(count: int) -> None:
    pattern = crowd(count)
    root = drawn(pattern)
    radius = float(next(root.iter(f"{SVG}circle")).attrib["r"])
    places = circles(root)
    assert all(math.dist(a, b) >= 2 * radius for a, b in pairwise([*places, places[0]]))
    assert sorted(map(int, numbers(root))) == list(range(1, count + 1))
    sizes = [float(text.attrib["font-size"]) for text in root.iter(f"{SVG}text")]
    assert min(sizes) >= 9
    widest = len(str(count)) * min(size for size in sizes if size >= 9) * 0.6
    assert widest <= 2 * radius, "a number lies within its bolt"


@pytest.mark.parametrize(
    ("count", "named", "lines"),
    [(12, True, True), (24, False, True), (25, False, False), (200, False, False)],
)
def test_many_bolts_have_neither_names_nor_lines(count: int, named: bool, lines: bool) -> None:
    root = drawn(crowd(count))
    assert ("bolt 7" in [text for text, _, _ in texts(root)]) is named
    assert drawing_of(crowd(count)).named is named
    assert bool(list(root.iter(f"{SVG}line"))) is lines
    assert "bolt 7" in root.attrib["aria-label"], "the words have all names"


def test_only_a_crowded_drawing_is_scrolled() -> None:
    assert not is_wide(PATTERN)
    assert not is_wide(crowd(24))
    assert is_wide(crowd(200))


def test_a_sheet_does_not_grow_for_a_slip_of_the_ruler() -> None:
    near = (*SQUARE, ("twice", (0.1, 0.0)))
    _, _, width, height = map(float, drawn(Pattern("P", near, ())).attrib["viewBox"].split())
    assert max(width, height) < 700


def test_no_line_runs_over_a_bolt_between() -> None:
    row = tuple((str(n), (60.0 * n, 0.0)) for n in range(4))
    root = drawn(Pattern("P", row, ("0", "3", "2", "1")))
    assert len(list(root.iter(f"{SVG}line"))) == 2, "not from the first to the last"


def test_names_in_a_row_do_not_cover_each_other_or_a_bolt() -> None:
    rail = tuple((f"middle {n}", (60.0 * n, 12.0 * (-1) ** n)) for n in range(6))
    root = drawn(Pattern("P", rail, ()))
    named = [(x, y) for text, x, y in texts(root) if text.startswith("middle")]
    for n, (x, y) in enumerate(named):
        assert all(abs(x - x2) > 40 or abs(y - y2) >= 10 for x2, y2 in named[n + 1 :])
        assert all(abs(x - cx) > 20 or abs(y - 4 - cy) >= 15 for cx, cy in circles(root))


RINGS = {
    "square": PATTERN,
    "star": Pattern(
        "P",
        (
            ("top", (0.0, 54.0)),
            ("upper rear", (51.4, 16.7)),
            ("lower rear", (31.7, -43.7)),
            ("lower front", (-31.7, -43.7)),
            ("upper front", (-51.4, 16.7)),
        ),
        ("top", "lower rear", "upper front", "upper rear", "lower front"),
        "left",
    ),
    "rows": Pattern(
        "P",
        tuple(
            (f"{across} {high}", (x, y))
            for across, x in (("front", -104.0), ("middle", 0.0), ("rear", 104.0))
            for high, y in (("upper", 28.0), ("lower", -28.0))
        ),
        ("middle upper", "middle lower", "rear upper", "front lower", "front upper", "rear lower"),
        "left",
    ),
}


@pytest.mark.parametrize("pattern", RINGS.values(), ids=RINGS)
def test_names_are_large_and_nothing_runs_through_them(pattern: Pattern) -> None:
    """Against widths on the safe side: 0.5 of the size a letter, as of common screen fonts."""
    root = drawn(pattern)
    words = [e for e in root.iter(f"{SVG}text") if not (e.text or "").isdigit()]
    assert {e.text for e in words} == {name for name, _ in pattern.positions} | {"front of car"}
    _, _, width, _ = map(float, root.attrib["viewBox"].split())
    assert width == 340, "as wide as a phone's page: drawn at full size"
    boxes = []
    for e in words:
        size, x, y = (float(e.attrib[key]) for key in ("font-size", "x", "y"))
        assert size >= 16
        half = 0.5 * size * len(e.text or "") / 2
        boxes.append((x - half, y - 0.7 * size, x + half, y))
    for n, (left, top, right, bottom) in enumerate(boxes):
        assert left >= 0 and right <= width  # noqa: PT018
        for left2, top2, right2, bottom2 in boxes[n + 1 :]:
            assert left >= right2 or left2 >= right or top >= bottom2 or top2 >= bottom
    for line in root.iter(f"{SVG}line"):
        ax, ay, bx, by = (float(line.attrib[key]) for key in ("x1", "y1", "x2", "y2"))
        for share in (n / 400 for n in range(401)):
            x, y = ax + share * (bx - ax), ay + share * (by - ay)
            assert not any(x1 < x < x2 and y1 < y < y2 for x1, y1, x2, y2 in boxes)


def test_names_without_room_stand_below_the_drawing() -> None:
    names = [f"position with a long name {n}" for n in range(6)]
    bolts = tuple((name, (60.0 * n, 0.0)) for n, name in enumerate(names))
    assert not drawing_of(Pattern("P", bolts, tuple(names))).named


def test_a_name_above_its_bolt_is_clear_of_its_ring() -> None:
    sheet = sheet_for(dict(SQUARE))
    _, above, *_ = _places("upper left", sheet)
    foot = above.at[1] + 0.25 * above.size  # where a "p" ends, of usual letters
    assert foot <= sheet.points["upper left"][1] - sheet.radius - 3
