"""Labels of points that lie close: on an outline about them, so that their lines stay inside of it.

From points inside a convex outline to labels that lie outside of it and touch it, lines that end
where a label is nearest run through no label; those that are shortest in all do not cross. That is
boundary labelling with straight leaders (Bekos and others, Computational Geometry 36, 2007).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from procedures_lib.view.picture import Mark

Place = tuple[float, float]
Box = tuple[float, float, float, float]
"""Left, top, right and lower edge, in the units of the sheet."""

_MARGINS = tuple(range(16, 320, 16))
"""How far from the points an outline is tried, in tenths of a label's height."""

_DOUBLE = 8
"""About so many of them a second one is tried."""

Region = tuple[Place, Place]


MOST_PLACED = 60
"""Up to so many marks places are looked for; of more, the labels stand on their points."""

_REACH, _FEW = 80.0, 5
"""Up to so many others within so many units have never been in each other's way."""


def is_crowded(marks: tuple[Mark, ...], scale: float) -> bool:
    """Tell whether so many points lie close that labels may not find their places."""
    near = _REACH / scale
    return len(marks) > MOST_PLACED or any(
        sum(math.dist((one.x, one.y), (other.x, other.y)) < near for other in marks) > _FEW + 1
        for one in marks
    )


def meets(a: Place, b: Place, middle: Place, half: float, tall: float) -> bool:
    """Whether the line from ``a`` to ``b`` runs through a box about a middle."""
    (x, y), (to_x, to_y), (at, down) = a, b, middle
    left, right, top, foot = at - half, at + half, down - tall, down + tall
    if (x < left and to_x < left) or (x > right and to_x > right):
        return False
    if (y < top and to_y < top) or (y > foot and to_y > foot):
        return False
    across, along = to_x - x, to_y - y
    corners = [across * (v - y) - along * (u - x) for u in (left, right) for v in (top, foot)]
    return min(corners) <= 0 <= max(corners)


def cross(a: Place, b: Place, c: Place, d: Place) -> bool:
    """Whether two lines cross."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = a, b, c, d
    u, v, p, q = bx - ax, by - ay, dx - cx, dy - cy
    if (u * (cy - ay) - v * (cx - ax)) * (u * (dy - ay) - v * (dx - ax)) >= 0:
        return False
    return (p * (ay - cy) - q * (ax - cx)) * (p * (by - cy) - q * (bx - cx)) < 0


def nearest(point: Place, middle: Place, half: float, tall: float) -> Place:
    """Return where a label is nearest to a point: its line ends there."""
    (x, y), (at, down) = point, middle
    return (min(max(x, at - half), at + half), min(max(y, down - tall), down + tall))


def outlines(
    points: Sequence[Place],
    size: Place,
    sheet: Place,
    gap: float,
    is_free: Callable[[Place], bool],
) -> Iterator[list[Place]]:
    """Yield places for labels of a size (width, height), one for each point, nearest outline first.

    Where no outline has the room, a second one runs about the first, whose labels then stand apart.
    ``is_free`` tells whether a label may have its middle at a place.
    """
    regions = [_region(points, size, sheet, gap, n / 10 * size[1]) for n in _MARGINS]
    for region in dict.fromkeys(regions):
        slots = [*filter(is_free, _slots(region, size, sheet, gap))]
        if len(slots) >= len(points):
            yield matched(points, slots, size)
    for region in dict.fromkeys(regions[:_DOUBLE]):
        inner = [*filter(is_free, _slots(region, size, sheet, gap, size[1] / 3))]
        (left, right), (top, foot) = region
        more, down = size[0] + 2 * gap, size[1] + 2 * gap
        about = [(left - more, top - down), (right + more, foot + down)]
        outer = _slots(_region(about, size, sheet, gap, 0.0), size, sheet, gap)
        slots = [*inner, *(at for at in filter(is_free, outer) if _apart(at, inner, size, gap))]
        if len(slots) >= len(points):
            yield matched(points, slots, size)


def _apart(at: Place, others: Sequence[Place], size: Place, gap: float) -> bool:
    return all(
        abs(at[0] - x) >= size[0] + gap or abs(at[1] - y) >= size[1] + gap for x, y in others
    )


def _region(
    points: Sequence[Place], size: Place, sheet: Place, gap: float, margin: float
) -> Region:
    """Left and right, top and foot: it goes to the edge of the sheet where no label fits."""
    sides = []
    for axis in (0, 1):
        along = [point[axis] for point in points]
        room = size[axis] + gap + 1
        low, high = min(along), max(along)
        first = max(low - margin, room) if low >= room else 0.0
        last = sheet[axis] - room
        sides.append((first, min(high + margin, last) if high <= last else sheet[axis]))
    return sides[0], sides[1]


def _slots(
    region: Region, size: Place, sheet: Place, gap: float, apart: float = 0.0
) -> Iterator[Place]:
    """Yield the middles of labels all along an outline, as far as it runs on the sheet."""
    (left, right), (top, foot) = region
    half, tall = size[0] / 2 + gap, size[1] / 2 + gap
    columns = [at for at, there in ((left - half, left > 0), (right + half, right < sheet[0]))
               if there]  # fmt: skip
    rows = [at for at, there in ((top - tall, top > 0), (foot + tall, foot < sheet[1])) if there]
    for at in columns:
        for down in _spread(top, foot, size[1] + gap + apart):
            yield at, down
    for down in rows:
        for across in _spread(left, right, size[0] + gap + apart):
            yield across, down
        for at in columns:
            yield at, down


def _spread(first: float, last: float, step: float) -> Iterator[float]:
    """Yield the middles of as many things as a stretch holds, evenly."""
    count = int((last - first) / step)
    for n in range(count):
        yield first + (last - first) * (n + 0.5) / count


def matched(points: Sequence[Place], slots: Sequence[Place], size: Place) -> list[Place]:
    """Return a slot for each point so that their lines are shortest in all.

    The Hungarian method with shortest ways (Kuhn 1955; Jonker and Volgenant 1987), which asks for
    as many slots as points or more.
    """
    half, tall = size[0] / 2, size[1] / 2
    costs = [[math.dist(at, nearest(at, slot, half, tall)) for slot in slots] for at in points]
    owners, rows, columns = [-1] * len(slots), [0.0] * len(points), [0.0] * len(slots)
    for n in range(len(points)):
        _give(n, costs, owners, rows, columns)
    found = {owner: slots[at] for at, owner in enumerate(owners) if owner >= 0}
    return [found[n] for n in range(len(points))]


def _give(
    n: int,
    costs: Sequence[Sequence[float]],
    owners: list[int],
    rows: list[float],
    columns: list[float],
) -> None:
    """Give a point a slot, moving others on where that is shortest in all."""
    count, at, row = len(owners), -1, n
    least, before, waiting = [math.inf] * count, [-1] * count, dict.fromkeys(range(count))
    while row >= 0:
        for slot in waiting:
            cost = costs[row][slot] - rows[row] - columns[slot]
            if cost < least[slot]:
                least[slot], before[slot] = cost, at
        at = min(waiting, key=least.__getitem__)
        step = least[at]
        rows[n] += step
        for slot in range(count):
            if slot in waiting:
                least[slot] -= step
            else:
                rows[owners[slot]] += step
                columns[slot] -= step
        del waiting[at]
        row = owners[at]
    while at >= 0:
        owners[at] = owners[before[at]] if before[at] >= 0 else n
        at = before[at]
