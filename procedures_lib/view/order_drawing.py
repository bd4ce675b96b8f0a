"""The tightening order of a bolt pattern, and where its bolts stand on the sheet of a drawing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from procedures_lib.language.entities.car import Fastener
from procedures_lib.view.joint import orders_by_stage

Point = tuple[float, float]


_WIDTH = 340.0
_MARGIN = 46.0
_TALLEST = 320.0
_LARGEST = 2000.0
"""The longest side of a pattern on the sheet, however crowded it is."""

_RADIUS, _SMALL_RADIUS = 15.0, 10.0
_CROWD = 24
"""Up to so many bolts are drawn large, with their names, and with lines from one to the next."""

_APART = 4.0
_LETTER, _LINE = 5.2, 12.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """The sheet: ``points`` in drawing units by name, y downwards; bolts have ``radius``.

    ``crowded`` tells that there are too many bolts for names and lines.
    """

    points: Mapping[str, Point]
    width: float
    height: float
    radius: float
    crowded: bool


def sheet_for(positions: Mapping[str, Point]) -> Sheet:
    """Return the sheet for positions in mm, y upwards.

    It grows with the bolts, so that no two of them touch, and is true to scale. Bolts much closer
    than their number makes it likely are a slip of the ruler, for which it does not grow.
    """
    crowded = len(positions) > _CROWD
    radius = _SMALL_RADIUS if crowded else _RADIUS
    xs, ys = [x for x, _ in positions.values()], [y for _, y in positions.values()]
    spread_x, spread_y = max(xs) - min(xs), max(ys) - min(ys)
    scale = _scale(positions, spread_x, spread_y, 2 * radius + _APART)
    width = max(_WIDTH, spread_x * scale + 2 * _MARGIN)
    left = (width - spread_x * scale) / 2
    points = {
        name: (round(left + (x - min(xs)) * scale, 1), round(_MARGIN + (max(ys) - y) * scale, 1))
        for name, (x, y) in positions.items()
    }
    height = round(spread_y * scale + 2 * _MARGIN, 1)
    return Sheet(points, round(width, 1), height, radius, crowded)


def _scale(positions: Mapping[str, Point], spread_x: float, spread_y: float, apart: float) -> float:
    """Drawing units for one mm: as large as the usual sheet allows, larger where bolts touch."""
    room = _WIDTH - 2 * _MARGIN
    scales = [room / spread_x if spread_x else None, _TALLEST / spread_y if spread_y else None]
    usual = min((scale for scale in scales if scale), default=1.0)
    spread = max(spread_x, spread_y)
    if not spread:
        return usual
    closest = max(_closest(list(positions.values())), spread / (3 * len(positions)))
    return max(usual, min(apart / closest, _LARGEST / spread))


def _closest(points: list[Point]) -> float:
    """The least distance of two points that differ; 0 when there are none."""
    placed = sorted(set(points))
    least = float("inf")
    for n, (x, y) in enumerate(placed):
        for other_x, other_y in placed[n + 1 :]:
            if other_x - x >= least:
                break
            least = min(least, ((other_x - x) ** 2 + (other_y - y) ** 2) ** 0.5)
    return 0.0 if least == float("inf") else least


def _name_places(sheet: Sheet) -> dict[str, Point]:
    """Where the names stand: below their bolt, or above it where something is in the way."""
    if sheet.crowded:
        return {}
    placed: dict[str, Point] = {}
    for name, (x, y) in sheet.points.items():
        below, above = (x, y + sheet.radius + _LINE), (x, y - sheet.radius - _LINE / 3)
        free = [at for at in (below, above) if not _in_the_way(name, at, placed, sheet)]
        placed[name] = free[0] if free else below
    return placed


def _in_the_way(name: str, at: Point, placed: Mapping[str, Point], sheet: Sheet) -> bool:
    """Tell whether a name at a place would cover another name, or a bolt."""
    half = _LETTER * len(name) / 2
    on_names = any(
        abs(at[1] - other[1]) < _LINE and abs(at[0] - other[0]) < half + _LETTER * len(word) / 2
        for word, other in placed.items()
    )
    return on_names or any(
        abs(at[1] - _LINE / 3 - y) < sheet.radius + _LINE / 2
        and abs(at[0] - x) < half + 0.8 * sheet.radius
        for other_name, (x, y) in sheet.points.items()
        if other_name != name
    )


def _runs_over(sheet: Sheet, here: str, there: str) -> bool:
    """Tell whether a line from one bolt to another runs over a third."""
    (x1, y1), (x2, y2) = sheet.points[here], sheet.points[there]
    dx, dy = x2 - x1, y2 - y1
    square = dx * dx + dy * dy
    for name, (x, y) in sheet.points.items():
        share = ((x - x1) * dx + (y - y1) * dy) / square if square else 0.0
        off = abs((x - x1) * dy - (y - y1) * dx)
        if name not in {here, there} and 0 < share < 1 and off < sheet.radius * square**0.5:
            return True
    return False


@dataclass(frozen=True, slots=True)
class Pattern:
    """What a drawing shows.

    ``positions`` are names with x and y in mm, y upwards, seen from the side the tool is on;
    ``order`` the names in tightening order (() draws the pattern with no numbers); ``front`` says
    where the front of the car lies in that view ("" when the page does not say).
    """

    title: str
    positions: tuple[tuple[str, tuple[float, float]], ...]
    order: tuple[str, ...]
    front: str = ""


def front_from_names(pattern: Pattern) -> str:
    """Tell where the front lies when the names of positions say it: "front left", "rear left".

    Returns up, down, left or right, or "" when the names do not settle it.
    """
    front = [at for name, at in pattern.positions if "front" in name.lower().split()]
    rear = [at for name, at in pattern.positions if "rear" in name.lower().split()]
    if not front or not rear:
        return ""
    across = sum(x for x, _ in front) / len(front) - sum(x for x, _ in rear) / len(rear)
    upward = sum(y for _, y in front) / len(front) - sum(y for _, y in rear) / len(rear)
    if abs(across) == abs(upward):
        return ""
    if abs(upward) > abs(across):
        return "up" if upward > 0 else "down"
    return "right" if across > 0 else "left"


@dataclass(frozen=True, slots=True)
class Label:
    """A text on the sheet; ``at`` is the middle of its base line, ``size`` in drawing units."""

    at: Point
    text: str
    size: int
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Drawing:
    """All that is drawn, in drawing units, y downwards.

    ``lines`` lead from the edge of one bolt to that of the next; ``bolts`` are their middles, each
    with its number or numbers in the order and its name; ``front`` tells where the front of the car
    lies, and ``arrow`` points there: its tip, and degrees clockwise from up (None: no arrow).
    """

    sheet: Sheet
    lines: tuple[tuple[Point, Point], ...]
    bolts: tuple[tuple[Point, tuple[Label, ...]], ...]
    front: Label
    arrow: tuple[Point, int] | None


def drawing_of(pattern: Pattern) -> Drawing:
    """Return the drawing of a pattern; where there are many bolts, without lines and names."""
    sheet = sheet_for(dict(pattern.positions))
    lines = () if sheet.crowded else tuple(_lines(sheet, pattern.order))
    front, arrow = _front(pattern.front, sheet.width, sheet.height)
    return Drawing(sheet, lines, tuple(_bolts(sheet, pattern.order)), front, arrow)


def _lines(sheet: Sheet, order: tuple[str, ...]) -> Iterator[tuple[Point, Point]]:
    """From each bolt's edge to the next one's, so that no line crosses a number."""
    for here, there in pairwise(name for name in order if name in sheet.points):
        (x1, y1), (x2, y2) = sheet.points[here], sheet.points[there]
        length = math.hypot(x2 - x1, y2 - y1)
        if length <= 2 * sheet.radius or _runs_over(sheet, here, there):
            continue
        dx, dy = (x2 - x1) * sheet.radius / length, (y2 - y1) * sheet.radius / length
        yield (x1 + dx, y1 + dy), (x2 - dx, y2 - dy)


def _bolts(sheet: Sheet, order: tuple[str, ...]) -> Iterator[tuple[Point, tuple[Label, ...]]]:
    numbers: dict[str, list[str]] = {}
    for n, name in enumerate(order, start=1):
        numbers.setdefault(name, []).append(str(n))
    size, names = (9 if sheet.crowded else 15), _name_places(sheet)
    for name, (x, y) in sheet.points.items():
        number = Label((x, y + size / 3), "/".join(numbers.get(name, ())), size, bold=True)
        below = [Label(names[name], name, 10)] if name in names else []
        yield (x, y), ((number, *below) if name in numbers else tuple(below))


def _front(front: str, width: float, height: float) -> tuple[Label, tuple[Point, int] | None]:
    """The words and the arrow for the front of the car, in the margin that it points to."""
    if front not in {"up", "down", "left", "right"}:
        text = f"front of car: {front}" if front else "front of car: see text"
        return Label((width / 2, 14), text, 12), None
    tip, turn, x = {
        "up": ((width / 2 - 52, 4), 0, width / 2),
        "down": ((width / 2 - 52, height - 4), 180, width / 2),
        "left": ((6, 10), -90, 62),
        "right": ((width - 6, 10), 90, width - 62),
    }[front]
    return Label((x, height - 6 if front == "down" else 14), "front of car", 12), (tip, turn)


def patterns_of(fastener: Fastener, name: str) -> list[tuple[Pattern, tuple[int, ...]]]:
    """Return what the drawings of a group show, each with the numbers of its stages.

    There is one drawing where all stages go in one order; else one for each order, and one for
    each choice of positions.
    """
    ordered = [(stages, order) for stages, order in orders_by_stage(fastener) if order]
    if len(ordered) < 2 and not any(stage.only for stage in fastener.tighten):
        order = ordered[0][1] if ordered else ()
        every = tuple(range(1, len(fastener.tighten) + 1))
        return [(_pattern(name, order, fastener), every)]
    return [
        (_pattern(f"{name}, {_numbers(stages)}", order, fastener), stages)
        for stages, order in ordered
    ]


def _pattern(title: str, order: tuple[str, ...], fastener: Fastener) -> Pattern:
    pattern = Pattern(title, fastener.positions, order, fastener.front or "")
    return pattern if pattern.front else replace(pattern, front=front_from_names(pattern))


def _numbers(stages: tuple[int, ...]) -> str:
    """The stages in words: "stage 2", "stages 1 and 3"."""
    if len(stages) == 1:
        return f"stage {stages[0]}"
    return f"stages {', '.join(map(str, stages[:-1]))} and {stages[-1]}"
