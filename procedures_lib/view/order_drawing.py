"""The tightening order of a bolt pattern, drawn with the numbers in it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from html import escape
from itertools import pairwise

from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual import Scope
from procedures_lib.manual.scope import name_of
from procedures_lib.view.joint import orders_by_stage, stages_text

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


def name_places(sheet: Sheet) -> dict[str, Point]:
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


def runs_over(sheet: Sheet, here: str, there: str) -> bool:
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


WIDE = 600.0
"""From this width on, in drawing units, a drawing is scrolled rather than made small."""


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


def text_alternative(pattern: Pattern) -> str:
    """The drawing in words: the order by name, and where the front of the car lies."""
    if pattern.order:
        steps = ", ".join(f"{n} {name}" for n, name in enumerate(pattern.order, start=1))
        told = f"Tightening order of {len(pattern.order)}: {steps}."
    else:
        told = f"Pattern of {len(pattern.positions)} positions; the page gives no order."
    return f"{pattern.title}. {told} {front_text(pattern.front)}"


def front_text(front: str) -> str:
    """Where the front of the car lies, in words."""
    if not front:
        return (
            "Seen from the side the tool is on; the page does not say where the car's front lies."
        )
    where = {
        "up": "at the top", "down": "at the bottom", "left": "on the left", "right": "on the right",
        "toward you": "toward you", "away from you": "away from you",
    }[front]  # fmt: skip
    return f"Seen from the side the tool is on; front of the car {where}."


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


def order_svg(pattern: Pattern) -> str:
    """Draw the pattern as a self-contained SVG element with a title and a description.

    Lines and figures take the colour of the text around them, so that the drawing works in dark
    mode and in black and white; dashed lines lead from each number to the next. Where there are
    many bolts the sheet grows, and names and lines are left out.
    """
    sheet = sheet_for(dict(pattern.positions))
    order = [name for name in pattern.order if name in sheet.points]
    alternative = escape(text_alternative(pattern))
    width, height = f"{sheet.width:g}", f"{sheet.height:g}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
        f' width="{width}" height="{height}" role="img" aria-label="{alternative}"'
        ' fill="none" stroke="currentColor" font-family="sans-serif" text-anchor="middle">',
        f"<desc>{alternative}</desc>",
        *([] if sheet.crowded else _path(sheet, order)),
        *_bolts(sheet, pattern),
        *_front(pattern.front, sheet.width, sheet.height),
        "</svg>",
    ]
    return "".join(parts)


def is_wide(pattern: Pattern) -> bool:
    """Whether a drawing is too wide for a page, and has to be scrolled to stay legible."""
    return sheet_for(dict(pattern.positions)).width > WIDE


def _path(sheet: Sheet, order: list[str]) -> list[str]:
    """Dashed lines from each bolt's edge to the next one's, so that no line crosses a number."""
    lines = []
    for here, there in pairwise(order):
        (x1, y1), (x2, y2) = sheet.points[here], sheet.points[there]
        length = math.hypot(x2 - x1, y2 - y1)
        if length <= 2 * sheet.radius or runs_over(sheet, here, there):
            continue
        dx, dy = (x2 - x1) * sheet.radius / length, (y2 - y1) * sheet.radius / length
        lines.append(
            f'<line x1="{x1 + dx:.1f}" y1="{y1 + dy:.1f}" x2="{x2 - dx:.1f}" y2="{y2 - dy:.1f}"'
            ' stroke-width="1" stroke-dasharray="3 4"/>'
        )
    return lines


def _bolts(sheet: Sheet, pattern: Pattern) -> list[str]:
    """A circle for each bolt, with its number in the order, or its numbers, and its name."""
    numbers: dict[str, list[str]] = {}
    for n, name in enumerate(pattern.order, start=1):
        numbers.setdefault(name, []).append(str(n))
    size, names = (9 if sheet.crowded else 15), name_places(sheet)
    parts = []
    for name, (x, y) in sheet.points.items():
        parts.append(
            f'<circle class="bolt" cx="{x:g}" cy="{y:g}" r="{sheet.radius:g}" stroke-width="2"/>'
        )
        if name in numbers:
            bold = f'font-size="{size}" font-weight="bold"'
            parts.append(_text((x, y + size / 3), bold, "/".join(numbers[name])))
        if name in names:
            parts.append(_text(names[name], 'font-size="10"', name))
    return parts


def _text(at: tuple[float, float], font: str, text: str) -> str:
    place = f'x="{at[0]:g}" y="{at[1]:g}"'
    return f'<text {place} {font} fill="currentColor" stroke="none">{escape(text)}</text>'


def _front(front: str, width: float, height: float) -> list[str]:
    """The mark for the front of the car: an arrow and the words, in the margin it points to."""
    if front not in {"up", "down", "left", "right"}:
        text = f"front of car: {front}" if front else "front of car: see text"
        return [_label(width / 2, 14, text)]
    x, y, turn, text_x = {
        "up": (width / 2 - 52, 4, 0, width / 2),
        "down": (width / 2 - 52, height - 4, 180, width / 2),
        "left": (6, 10, -90, 62),
        "right": (width - 6, 10, 90, width - 62),
    }[front]
    arrow = (
        f'<path d="M0 0 L6 12 L-6 12 Z" fill="currentColor" stroke="none"'
        f' transform="translate({x:g} {y:g}) rotate({turn})"/>'
    )
    return [arrow, _label(text_x, height - 6 if front == "down" else 14, "front of car")]


def _label(x: float, y: float, text: str) -> str:
    return _text((x, y), 'font-size="12"', text)


def patterns_of(fastener: Fastener, scope: Scope) -> list[tuple[Pattern, str]]:
    """Return what the drawings of a group show, each with the words for its stages.

    There is one drawing where all stages go in one order; else one for each order.
    """
    name = name_of(fastener, scope)
    ordered = [(stages, order) for stages, order in orders_by_stage(fastener) if order]
    if len(ordered) < 2:
        order = ordered[0][1] if ordered else ()
        return [(_pattern(name, order, fastener), stages_text(fastener))]
    return [
        (_pattern(f"{name}, {_numbers(stages)}", order, fastener), _staged(stages, fastener))
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


def _staged(stages: tuple[int, ...], fastener: Fastener) -> str:
    return ", then ".join(fastener.tighten[n - 1].shown() for n in stages)
