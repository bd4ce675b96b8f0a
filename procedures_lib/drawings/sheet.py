"""Where things stand on the sheet of a drawing: bolts far enough apart, names beside them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

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
