"""A tightening order drawn on paper, from the same sheet as the drawing on the page."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise, zip_longest

from procedures_lib.fronts.paper.blocks import SMALL
from procedures_lib.fronts.paper.card_lists import CardDrawing
from procedures_lib.fronts.paper.marks import (
    Block,
    Circle,
    Line,
    Mark,
    Piece,
    Rule,
    Triangle,
    moved,
    printable,
    space,
    text_pieces,
)
from procedures_lib.view.order_drawing import Pattern, Sheet, name_places, runs_over, sheet_for

_LARGEST = 0.85
"""Points on paper for one unit of the drawing, at most."""

_TALLEST = 420.0
_BETWEEN = 20.0


def drawing_blocks(drawings: Sequence[CardDrawing], width: float) -> list[Block]:
    """Return the drawings, each with its caption, two side by side where they are small."""
    blocks: list[Block] = []
    half = (width - _BETWEEN) / 2
    waiting: list[Piece] = []
    for drawing in drawings:
        column = _column(drawing, half)
        if column.height > _TALLEST or sheet_of(drawing).crowded:
            blocks += _rows(waiting, half)
            waiting = []
            blocks.append(_alone(drawing, width))
        else:
            waiting.append(column)
    return blocks + _rows(waiting, half)


def sheet_of(drawing: CardDrawing) -> Sheet:
    """Return the sheet on which a drawing stands on the page, too."""
    return sheet_for(dict(drawing.pattern.positions))


def _rows(columns: list[Piece], half: float) -> list[Block]:
    """Columns in rows of two; none of them is ever parted."""
    rows = []
    for left, right in zip_longest(columns[::2], columns[1::2]):
        marks = left.marks
        if right is not None:
            marks += tuple(moved(mark, half + _BETWEEN, 0) for mark in right.marks)
        height = max(left.height, right.height if right else 0.0)
        rows.append(Block((space(4.0), Piece(height, marks), space(8.0)), 3))
    return rows


def _column(drawing: CardDrawing, width: float) -> Piece:
    """A drawing and its caption as one piece."""
    return _stacked(_pieces(drawing, width))


def _stacked(pieces: list[Piece]) -> Piece:
    marks: list[Mark] = []
    height = 0.0
    for piece in pieces:
        marks += (moved(mark, 0, height) for mark in piece.marks)
        height += piece.height
    return Piece(height, tuple(marks))


def _alone(drawing: CardDrawing, width: float) -> Block:
    pieces = (space(4.0), *_pieces(drawing, width), space(8.0))
    return Block(pieces, len(pieces))


def _pieces(drawing: CardDrawing, width: float) -> list[Piece]:
    pattern, sheet = drawing.pattern, sheet_of(drawing)
    scale = min(_LARGEST, width / sheet.width, _TALLEST / sheet.height)
    marks = [*_path(sheet, pattern, scale), *_bolts(sheet, pattern, scale)]
    marks += _front(sheet, pattern.front, scale)
    left = (width - sheet.width * scale) / 2
    placed = tuple(moved(mark, left, 0) for mark in marks)
    caption = text_pieces([(drawing.caption, False)], SMALL, width)
    return [Piece(sheet.height * scale, placed), space(3.0), *caption]


def _path(sheet: Sheet, pattern: Pattern, scale: float) -> list[Mark]:
    """Dashed lines from each bolt's edge to the next one's."""
    marks: list[Mark] = []
    order = [name for name in pattern.order if name in sheet.points]
    for here, there in pairwise([] if sheet.crowded else order):
        (x1, y1), (x2, y2) = sheet.points[here], sheet.points[there]
        length = math.hypot(x2 - x1, y2 - y1)
        if length <= 2 * sheet.radius or runs_over(sheet, here, there):
            continue
        dx, dy = (x2 - x1) * sheet.radius / length, (y2 - y1) * sheet.radius / length
        start, end = (x1 + dx, y1 + dy), (x2 - dx, y2 - dy)
        marks.append(
            Rule(start[0] * scale, start[1] * scale, end[0] * scale, end[1] * scale, 0.6, True)
        )
    return marks


def _bolts(sheet: Sheet, pattern: Pattern, scale: float) -> list[Mark]:
    """A circle for each bolt, with its number or numbers in the order, and its name."""
    numbers: dict[str, list[str]] = {}
    for n, name in enumerate(pattern.order, start=1):
        numbers.setdefault(name, []).append(str(n))
    size, names = (9 if sheet.crowded else 15) * scale, name_places(sheet)
    marks: list[Mark] = []
    for name, (x, y) in sheet.points.items():
        marks.append(Circle(x * scale, y * scale, sheet.radius * scale, 1.2))
        if name in numbers:
            said = "/".join(numbers[name])
            marks.append(_label(x * scale, y * scale + size / 3, said, size, bold=True))
        if name in names:
            at_x, at_y = names[name]
            marks.append(_label(at_x * scale, at_y * scale, name, 10 * scale))
    return marks


_CORNERS = {
    "up": ((0, 0), (-6, 12), (6, 12)),
    "down": ((0, 0), (-6, -12), (6, -12)),
    "left": ((0, 0), (12, -6), (12, 6)),
    "right": ((0, 0), (-12, -6), (-12, 6)),
}


def _front(sheet: Sheet, front: str, scale: float) -> list[Mark]:
    """The mark for the front of the car, in the margin that it points to."""
    width, height = sheet.width, sheet.height
    if front not in _CORNERS:
        text = f"front of car: {front}" if front else "front of car: see text"
        return [_label(width / 2 * scale, 14 * scale, text, 12 * scale)]
    x, y, text_x = {
        "up": (width / 2 - 52, 4.0, width / 2),
        "down": (width / 2 - 52, height - 4, width / 2),
        "left": (6.0, 10.0, 62.0),
        "right": (width - 6, 10.0, width - 62),
    }[front]
    a, b, c = (((x + dx) * scale, (y + dy) * scale) for dx, dy in _CORNERS[front])
    text_y = height - 6 if front == "down" else 14
    return [Triangle((a, b, c)), _label(text_x * scale, text_y * scale, "front of car", 12 * scale)]


def _label(x: float, y: float, text: str, size: float, bold: bool = False) -> Line:
    return Line(x, y, ((printable(text).replace("\n", " "), bold),), size, "centre")
