"""Where a thumb hits a mark of a picture: as large as it has room, and never two things at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from procedures_lib.view.picture_labels import Lettering, Place, Placed

Box = tuple[float, float, float, float]
"""Left, top, right and lower edge, in the units of the sheet."""

THUMB = 44.0
"""CSS pixels: the width and height of a target (WCAG 2.2, 2.5.5), where no other is nearer."""


def targets(
    things: Sequence[Sequence[Placed]], sheet: Place, lettering: Lettering
) -> tuple[tuple[Box, ...], ...]:
    """Return for each thing the boxes of its rings and labels, grown until a thumb hits them.

    Halfway to the ring or label of another thing they end; of one thing they may overlap.
    """
    seen = [list(_seen(marks, lettering)) for marks in things]
    return tuple(
        tuple(
            _target(
                box, [other for m, boxes in enumerate(seen) if m != n for other in boxes], sheet
            )
            for box in mine
        )
        for n, mine in enumerate(seen)
    )


def _seen(marks: Sequence[Placed], lettering: Lettering) -> Iterator[Box]:
    """Yield what is seen of marks: their rings and their labels."""
    for each in marks:
        sides = lettering.wide(each.mark.label) / 2, lettering.high / 2
        for (x, y), (half, tall) in ((each.point, (lettering.ring,) * 2), (each.label, sides)):
            yield x - half, y - tall, x + half, y + tall


def _target(box: Box, others: Sequence[Box], sheet: Place) -> Box:
    left, top, right, foot = box
    across, down = max(0.0, THUMB - (right - left)) / 2, max(0.0, THUMB - (foot - top)) / 2
    grown = [left - across, top - down, right + across, foot + down]
    for other in others:
        gaps = other[0] - right, other[1] - foot, left - other[2], top - other[3]
        side = max(range(4), key=lambda n: gaps[n])
        cut = (box[(side + 2) % 4] + other[side]) / 2
        grown[(side + 2) % 4] = (min if side < 2 else max)(grown[(side + 2) % 4], cut)
    return (
        max(grown[0], 0.0), max(grown[1], 0.0), min(grown[2], sheet[0]), min(grown[3], sheet[1])
    )  # fmt: skip
