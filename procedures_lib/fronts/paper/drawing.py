"""A tightening order drawn on paper: the same drawing as on the page."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from reportlab.platypus import Flowable, Spacer

from procedures_lib.fronts.paper.blocks import SMALL, rows
from procedures_lib.fronts.paper.card_lists import CardDrawing
from procedures_lib.fronts.paper.lettering import BOLD, REGULAR, paragraph, printable
from procedures_lib.view.order_drawing import Label, Pattern, drawing_of

_LARGEST = 0.85
"""Points on paper for one unit of the drawing, at most."""

_TALLEST = 420.0
_BETWEEN = 20.0


def drawing_blocks(drawings: Sequence[CardDrawing], width: float) -> list[Flowable]:
    """Return the drawings, each with its caption, two side by side where they are small."""
    half, blocks, waiting = (width - _BETWEEN) / 2, list[Flowable](), list[list[Flowable]]()
    for drawing in drawings:
        order, caption = OrderDrawing(drawing.pattern, half), paragraph(drawing.caption, SMALL)
        if order.drawing.sheet.crowded or order.height + caption.wrap(half, 0)[1] > _TALLEST:
            order = OrderDrawing(drawing.pattern, width)
            blocks += [*_pairs(waiting, half), rows([[[order, Spacer(0, 3.0), caption]]], [width])]
            waiting = []
        else:
            waiting.append([order, Spacer(0, 3.0), caption])
    return blocks + _pairs(waiting, half)


def _pairs(columns: list[list[Flowable]], half: float) -> list[Flowable]:
    """Columns in rows of two; none of them is ever parted."""
    return [
        rows([[*pair]], (half + _BETWEEN, half), ("BOTTOMPADDING", (0, 0), (-1, -1), 8.0))
        for pair in zip_longest(columns[::2], columns[1::2], fillvalue="")
    ]


class OrderDrawing(Flowable):
    """A bolt pattern with the numbers of its order, in the middle of a width in points."""

    def __init__(self, pattern: Pattern, width: float) -> None:
        super().__init__()
        self.drawing = drawing_of(pattern)
        sheet = self.drawing.sheet
        self.scale = min(_LARGEST, width / sheet.width, _TALLEST / sheet.height)
        self.width, self.height = width, sheet.height * self.scale

    def draw(self) -> None:
        """Draw it; y runs downwards on the sheet, and upwards in PDF."""
        canvas, drawing, tall = self.canv, self.drawing, self.drawing.sheet.height
        canvas.translate((self.width - drawing.sheet.width * self.scale) / 2, 0)
        canvas.scale(self.scale, self.scale)
        canvas.setLineWidth(0.7)
        canvas.setDash(3, 4)
        for (x1, y1), (x2, y2) in drawing.lines:
            canvas.line(x1, tall - y1, x2, tall - y2)
        canvas.setDash()
        canvas.setLineWidth(1.4)
        for (x, y), labels in drawing.bolts:
            canvas.circle(x, tall - y, drawing.sheet.radius)
            for label in labels:
                self._write(label)
        self._write(drawing.front)
        if drawing.arrow:
            (x, y), turn = drawing.arrow
            canvas.translate(x, tall - y)
            canvas.rotate(-turn)
            path = canvas.beginPath()
            path.moveTo(0, 0)
            path.lineTo(6, -12)
            path.lineTo(-6, -12)
            canvas.drawPath(path, stroke=0, fill=1)

    def _write(self, label: Label) -> None:
        x, y = label.at
        text = printable(label.text).replace("\n", " ")
        self.canv.setFont(BOLD if label.bold else REGULAR, label.size)
        self.canv.drawCentredString(x, self.drawing.sheet.height - y, text)
