"""Pictures on a job card: the picture, the marks over it, and a line for each thing it shows."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass

from reportlab.lib.colors import black, white
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from procedures_lib.engineering.quantities import NO_BREAK_SPACE
from procedures_lib.fronts.paper.lettering import BOLD, printable
from procedures_lib.fronts.tables.picture_words import (
    around_title,
    order_note,
    picture_caption,
    thing_line,
)
from procedures_lib.judging.checks.pictures import picture_file
from procedures_lib.judging.checks.publishing import PathFault
from procedures_lib.manual import Manual
from procedures_lib.manual.picture_coding import for_paper
from procedures_lib.manual.picture_file import PictureError
from procedures_lib.view.picture import Mark, PictureView
from procedures_lib.view.picture_labels import Lettering, Placed, line_of, placed
from procedures_lib.view.uses import Cars

_WIDEST, _TALLEST = 300.0, 230.0
_LETTERING = Lettering(ring=4.5, high=12.0, letter=5.4, gap=2.0)
_FONT = 9.0
INDENT = 26.0
"""From the left edge to the picture, in points: as far as the text of a step."""


@dataclass(frozen=True, slots=True)
class CardPicture:
    """A picture of a step: ``image`` is a JPEG, empty where none can be had.

    ``lines`` are about what the step works on, ``around`` names what else is seen. ``size`` is that
    of the picture in pixels, in which its ``marks`` are given; ``step`` is the number of an earlier
    step that shows it already, 0 for none.
    """

    caption: str
    lines: tuple[str, ...]
    around: str
    image: bytes
    size: tuple[int, int]
    marks: tuple[Mark, ...]
    step: int = 0


def card_picture(manual: Manual, view: PictureView, cars: Cars) -> CardPicture:
    """Return a picture as the card of some cars has it."""
    file = picture_file(manual, view.picture)
    image, size = b"", (1, 1)
    if file is not None and not isinstance(file, PathFault):
        size = file[1].width, file[1].height
        try:
            image = for_paper(file[0])
        except PictureError:  # the build tells
            image = b""
    marks = tuple(mark for each in view.things for mark in each.marks)
    lines = tuple(_lines(view, cars))
    return CardPicture(picture_caption(view), lines, _around(view, cars), image, size, marks)


def _lines(view: PictureView, cars: Cars) -> Iterator[str]:
    for each in view.of_step:
        note = order_note(each)
        yield f"{thing_line(each, cars.only(each.thing.when))}{note and f'. {note}'}"


def _around(view: PictureView, cars: Cars) -> str:
    lines = (thing_line(each, cars.only(each.thing.when)) for each in view.around)
    names = ", ".join(line.replace("  ", NO_BREAK_SPACE, 1) for line in lines)
    return f"{around_title(view)}: {names}" if names else ""


class MarkedPicture(Flowable):
    """A picture with its marks, indented as the text of a step is."""

    def __init__(self, picture: CardPicture) -> None:
        super().__init__()
        wide, tall = picture.size
        self.picture = picture
        self.scale = min(_WIDEST / wide, _TALLEST / tall)
        self.width, self.height = wide * self.scale, tall * self.scale

    def draw(self) -> None:
        """Draw it; y runs downwards in the picture, and upwards in PDF."""
        canvas = self.canv
        canvas.translate(INDENT, 0)
        image = ImageReader(io.BytesIO(self.picture.image))
        canvas.drawImage(image, 0, 0, self.width, self.height)
        sheet = self.width, self.height
        for each in placed(self.picture.marks, self.scale, sheet, _LETTERING):
            self._mark(each)

    def _mark(self, each: Placed) -> None:
        canvas, high = self.canv, _LETTERING.high
        (x, y), (at, down) = each.point, each.label
        start, end = line_of(each, _LETTERING)
        wide, tall = _LETTERING.wide(each.mark.label), self.height
        canvas.setFillColor(black)
        for colour, line in ((white, 2.4), (black, 1.0)):
            canvas.setStrokeColor(colour)
            canvas.setLineWidth(line)
            canvas.line(start[0], tall - start[1], end[0], tall - end[1])
            canvas.circle(x, tall - y, _LETTERING.ring)
        canvas.setStrokeColor(white)
        canvas.roundRect(at - wide / 2, tall - down - high / 2, wide, high, 2.5, fill=1)
        canvas.setFillColor(white)
        canvas.setFont(BOLD, _FONT)
        canvas.drawCentredString(at, tall - down - 0.35 * _FONT, printable(each.mark.label))
        canvas.setFillColor(black)
