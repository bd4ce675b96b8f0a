"""Where a thumb hits a mark of a picture: as large as it has room, and never two things at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from procedures_lib.view.picture_crowd import Box, Place
from procedures_lib.view.picture_labels import Lettering, Placed

THUMB = 44.0
"""CSS pixels: the width and height of a target (WCAG 2.2, 2.5.5), where no other is nearer."""


def targets(
    things: Sequence[Sequence[Placed]], sheet: Place, lettering: Lettering
) -> tuple[tuple[Box, ...], ...]:
    """Return for each thing the boxes of its rings and labels, grown until a thumb hits them.

    Halfway to the ring or label of another thing they end; of one thing they may overlap.
    """
    seen = [(n, box) for n, marks in enumerate(things) for box in _seen(marks, lettering)]
    grown = [_grown(box, sheet) for _, box in seen]
    for one, other in combinations(range(len(seen)), 2):
        if seen[one][0] != seen[other][0]:
            _part(grown[one], grown[other], seen[one][1], seen[other][1])
    for (n, _), box in zip(seen, grown, strict=True):
        others = [o for (m, _), o in zip(seen, grown, strict=True) if m != n]
        for axis in (0, 1):
            _make_up(box, axis, others, sheet)
    found: list[list[Box]] = [[] for _ in things]
    for (n, _), (left, top, right, foot) in zip(seen, grown, strict=True):
        found[n].append((max(left, 0.0), max(top, 0.0), min(right, sheet[0]), min(foot, sheet[1])))
    return tuple(map(tuple, found))


def _seen(marks: Sequence[Placed], lettering: Lettering) -> Iterator[Box]:
    """Yield what is seen of marks: their rings and their labels."""
    for each in marks:
        sides = lettering.wide(each.mark.label) / 2, lettering.high / 2
        for (x, y), (half, tall) in ((each.point, (lettering.ring,) * 2), (each.label, sides)):
            yield x - half, y - tall, x + half, y + tall


def _grown(box: Box, sheet: Place) -> list[float]:
    """A box as large as a thumb; at the edge of the sheet it grows inwards."""
    grown = list(box)
    for axis in (0, 1):
        more = max(0.0, THUMB - (box[axis + 2] - box[axis])) / 2
        low, high = box[axis] - more, box[axis + 2] + more
        inwards = max(0.0, -low) - max(0.0, high - sheet[axis])
        grown[axis], grown[axis + 2] = low + inwards, high + inwards
    return grown


def _make_up(box: list[float], axis: int, others: list[list[float]], sheet: Place) -> None:
    """Give a box on its free sides what it has lost to a neighbour."""
    beside = [o for o in others if o[1 - axis] < box[3 - axis] and box[1 - axis] < o[3 - axis]]
    low = max([0.0, *(o[axis + 2] for o in beside if o[axis + 2] <= box[axis])])
    high = min([sheet[axis], *(o[axis] for o in beside if o[axis] >= box[axis + 2])])
    lack = max(0.0, THUMB - (box[axis + 2] - box[axis]))
    below = min(lack, max(0.0, box[axis] - low))
    box[axis] -= below
    box[axis + 2] += min(lack - below, max(0.0, high - box[axis + 2]))


def _part(one: list[float], other: list[float], box: Box, beside: Box) -> None:
    """Part two targets halfway between what is seen of them, on the side where most is free."""
    gaps = beside[0] - box[2], beside[1] - box[3], box[0] - beside[2], box[1] - beside[3]
    side = max(range(4), key=lambda n: gaps[n])
    edge, facing = (side + 2) % 4, side
    cut = (box[edge] + beside[facing]) / 2
    nearer, farther = (min, max) if side < 2 else (max, min)
    one[edge], other[facing] = nearer(one[edge], cut), farther(other[facing], cut)
