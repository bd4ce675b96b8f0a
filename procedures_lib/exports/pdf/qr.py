"""The QR code of a card (ISO/IEC 18004), as black boxes."""

from __future__ import annotations

from itertools import groupby

import segno

from procedures_lib.exports.pdf.marks import Box

QUIET = 4
"""White modules around the code (ISO/IEC 18004:2015, 5.3.8)."""


def modules(address: str) -> tuple[tuple[bool, ...], ...]:
    """Return the code of an address row by row, dark modules True, without the quiet zone."""
    code = segno.make_qr(address, error="m")
    return tuple(tuple(bool(dark) for dark in row) for row in code.matrix)


def qr_boxes(address: str, side: float) -> tuple[Box, ...]:
    """Return the code of an address as boxes in a square of this side, quiet zone included.

    Neighbours in a row are one box, so that no hair line shows between them.
    """
    rows = modules(address)
    unit = side / (len(rows) + 2 * QUIET)
    boxes = []
    for y, row in enumerate(rows):
        x = 0
        for dark, run in groupby(row):
            count = len(list(run))
            if dark:
                left, top = (x + QUIET) * unit, (y + QUIET) * unit
                boxes.append(Box(left, top, count * unit, unit, 0.0, True))
            x += count
    return tuple(boxes)
