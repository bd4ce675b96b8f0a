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
_MARGIN, _TALL_MARGIN = 46.0, 60.0
"""Beside the pattern, and above and below it, where names and the front of the car stand."""

_TALLEST = 320.0
_LARGEST = 2000.0
"""The longest side of a pattern on the sheet, however crowded it is."""

_RADIUS, _SMALL_RADIUS = 15.0, 10.0
_CROWD = 24
"""Up to so many bolts are drawn large, with their names, and with lines from one to the next."""

_APART = 4.0
_NAME = 16
"""The size of names: as drawn, 340 units wide, no smaller than the text of a phone's page."""

_LETTER, _LINE = 0.54 * _NAME, 1.15 * _NAME
_DESCENT = 0.25 * _NAME


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
        name: (
            round(left + (x - min(xs)) * scale, 1),
            round(_TALL_MARGIN + (max(ys) - y) * scale, 1),
        )
        for name, (x, y) in positions.items()
    }
    height = round(spread_y * scale + 2 * _TALL_MARGIN, 1)
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


Segment = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class _Box:
    """A rectangle on the sheet that something written takes up."""

    left: float
    top: float
    right: float
    bottom: float

    @classmethod
    def of(cls, label: Label) -> _Box:
        """The room of a label."""
        (x, y), half = label.at, 0.54 * label.size * len(label.text) / 2
        return cls(x - half, y - label.size, x + half, y + 0.25 * label.size)

    def meets(self, other: _Box) -> bool:
        """Tell whether two rectangles overlap."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom

    def is_crossed(self, line: Segment) -> bool:
        """Tell whether a line runs through (Liang and Barsky's clipping)."""
        (x1, y1), (x2, y2) = line
        enter, leave = 0.0, 1.0
        for way, near, far in (
            (x2 - x1, self.left - x1, self.right - x1),
            (y2 - y1, self.top - y1, self.bottom - y1),
        ):
            if not way:
                if near > 0 or far < 0:
                    return False
                continue
            first, last = sorted((near / way, far / way))
            enter, leave = max(enter, first), min(leave, last)
        return enter <= leave


def _names(sheet: Sheet, lines: tuple[Segment, ...], front: Label) -> dict[str, Label]:
    """The names, each near its bolt and clear of all else; {} where one finds no place.

    A line is in the way only where there is a place without one.
    """
    if sheet.crowded:
        return {}
    taken = [_Box.of(front)]
    placed: dict[str, Label] = {}
    for name in sheet.points:
        free = [
            label
            for label in _places(name, sheet)
            if not any(_Box.of(label).meets(box) for box in [*taken, *_bolt_boxes(sheet, name)])
        ]
        clear = [each for each in free if not any(map(_Box.of(each).is_crossed, lines))]
        if not free:
            return {}
        placed[name] = (clear or free)[0]
        taken.append(_Box.of(placed[name]))
    return placed


def _places(name: str, sheet: Sheet) -> Iterator[Label]:
    """Where a name may stand: below and above its bolt, in the next line, and beside it."""
    (x, y), half, gap = sheet.points[name], _LETTER * len(name) / 2, sheet.radius + 4
    below, above, beside = y + gap + 0.8 * _NAME, y - gap - _DESCENT, y + _NAME / 3
    across = min(max(x, half + 2), max(sheet.width - half - 2, half + 2))
    for at in (below, above):
        yield Label((across, at), name, _NAME)
    for middle in (x + gap + half, x - gap - half):
        if half <= middle <= sheet.width - half:
            yield Label((middle, beside), name, _NAME)
    for at in (below + _LINE, above - _LINE):
        if _NAME < at < sheet.height:
            yield Label((across, at), name, _NAME)


def _bolt_boxes(sheet: Sheet, name: str) -> Iterator[_Box]:
    """The rectangles of the bolts; that of the one named a little smaller, to stand close to."""
    for other, (x, y) in sheet.points.items():
        half = sheet.radius - 1 if other == name else sheet.radius + 2
        yield _Box(x - half, y - half, x + half, y + half)


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
    ``named`` tells whether the names stand in it; where there is no room, they stand beside it.
    """

    sheet: Sheet
    lines: tuple[tuple[Point, Point], ...]
    bolts: tuple[tuple[Point, tuple[Label, ...]], ...]
    front: Label
    arrow: tuple[Point, int] | None
    named: bool


def drawing_of(pattern: Pattern) -> Drawing:
    """Return the drawing of a pattern; where there are many bolts, without lines and names."""
    sheet = sheet_for(dict(pattern.positions))
    lines = () if sheet.crowded else tuple(_lines(sheet, pattern.order))
    front, arrow = _front(pattern.front, sheet.width, sheet.height)
    names = _names(sheet, lines, front)
    boxes = [_Box.of(name) for name in names.values()]
    lines = tuple(line for line in lines if not any(box.is_crossed(line) for box in boxes))
    return Drawing(
        sheet, lines, tuple(_bolts(sheet, pattern.order, names)), front, arrow, bool(names)
    )


def _lines(sheet: Sheet, order: tuple[str, ...]) -> Iterator[tuple[Point, Point]]:
    """From each bolt's edge to the next one's, so that no line crosses a number."""
    for here, there in pairwise(name for name in order if name in sheet.points):
        (x1, y1), (x2, y2) = sheet.points[here], sheet.points[there]
        length = math.hypot(x2 - x1, y2 - y1)
        if length <= 2 * sheet.radius or _runs_over(sheet, here, there):
            continue
        dx, dy = (x2 - x1) * sheet.radius / length, (y2 - y1) * sheet.radius / length
        yield (x1 + dx, y1 + dy), (x2 - dx, y2 - dy)


def _bolts(
    sheet: Sheet, order: tuple[str, ...], names: Mapping[str, Label]
) -> Iterator[tuple[Point, tuple[Label, ...]]]:
    numbers: dict[str, list[str]] = {}
    for n, name in enumerate(order, start=1):
        numbers.setdefault(name, []).append(str(n))
    size = 9 if sheet.crowded else 17
    for name, (x, y) in sheet.points.items():
        number = Label((x, y + size / 3), "/".join(numbers.get(name, ())), size, bold=True)
        below = (names[name],) if name in names else ()
        yield (x, y), ((number, *below) if name in numbers else below)


def _front(front: str, width: float, height: float) -> tuple[Label, tuple[Point, int] | None]:
    """The words and the arrow for the front of the car, in the margin that it points to."""
    if front not in {"up", "down", "left", "right"}:
        text = f"front of car: {front}" if front else "front of car: see text"
        return Label((width / 2, 16), text, _NAME), None
    half = _LETTER * len("front of car") / 2
    tip, turn, x = {
        "up": ((width / 2 - half - 12, 4), 0, width / 2),
        "down": ((width / 2 - half - 12, height - 4), 180, width / 2),
        "left": ((6, 11), -90, half + 24),
        "right": ((width - 6, 11), 90, width - half - 24),
    }[front]
    at = (x, height - 6 if front == "down" else 16)
    return Label(at, "front of car", _NAME), (tip, turn)


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
