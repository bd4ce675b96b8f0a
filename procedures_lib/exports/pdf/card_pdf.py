"""A card as PDF: its pages drawn, with the same bytes for the same card."""

from __future__ import annotations

import datetime
import io
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

from reportlab.lib.utils import TimeStamp
from reportlab.pdfgen.canvas import Canvas

from procedures_lib.exports.pdf.card_blocks import card_blocks
from procedures_lib.exports.pdf.fonts import BOLD, MISSING, REGULAR, printable, width_of
from procedures_lib.exports.pdf.marks import Box, Circle, Line, Rule, Triangle, moved
from procedures_lib.exports.pdf.pages import lay

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from procedures_lib.exports.card import Card
    from procedures_lib.exports.pdf.marks import Mark
    from procedures_lib.exports.pdf.pages import Placed

SIZES = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""Width and height of the sheets in points: ISO 216 A4 and US Letter."""

_SIDE, _TOP, _BOTTOM = 42.0, 52.0, 46.0
_SMALL = 8.0
_UNDATED = datetime.date(2000, 1, 1)


def card_pdf(card: Card, size: str = "a4") -> bytes:
    """Return a card as a PDF file, on sheets of one of the sizes in ``SIZES`` (else KeyError)."""
    width, height = SIZES[size]
    pages = lay(card_blocks(card, width - 2 * _SIDE), height - _TOP - _BOTTOM)
    out = io.BytesIO()
    canvas = _canvas(out, card, (width, height))
    for n, page in enumerate(pages, start=1):
        _draw_page(canvas, page, height)
        for mark in _frame(card, n, len(pages), width, height):
            _draw(canvas, mark, height)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def signs_lacking(card: Card) -> str:
    """Return the signs of a card that its font lacks, each once, in the order of their codes."""
    signs = set("".join(_texts(card)))
    return "".join(sorted(sign for sign in signs - {MISSING} if printable(sign) == MISSING))


def _texts(value: object) -> Iterator[str]:
    """Yield every text in a value made of values."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from _texts(each)
    elif is_dataclass(value):
        for field in fields(value):
            yield from _texts(getattr(value, field.name))


def _canvas(out: io.BytesIO, card: Card, size: tuple[float, float]) -> Any:
    """An empty document that knows no time but the day on which its page was reviewed."""
    head = card.head
    canvas: Any = Canvas(out, pagesize=size, invariant=1, pageCompression=1, lang="en")
    canvas._doc._timeStamp = _stamp(head.reviewed)
    canvas.setTitle(printable(f"{head.title} ({head.procedure})"))
    canvas.setAuthor(printable(head.shop))
    canvas.setSubject(printable(f"Job card, revision {head.revision}, {head.when or 'every car'}"))
    canvas.setCreator("procedures")
    return canvas


def _stamp(reviewed: str) -> Any:
    day = datetime.date.fromisoformat(reviewed) if reviewed else _UNDATED
    moment = datetime.datetime(day.year, day.month, day.day, tzinfo=datetime.UTC)
    stamp = TimeStamp(1)
    stamp.t, stamp.lt, stamp.YMDhms = (
        moment.timestamp(),
        moment.timetuple(),
        (*moment.timetuple()[:6],),
    )
    return stamp


def _frame(card: Card, n: int, pages: int, width: float, height: float) -> list[Mark]:
    """What stands at the head and foot of every page."""
    head, right, foot = card.head, width - _SIDE, height - _BOTTOM + 18
    about = f"{head.procedure} · revision {head.revision} · {head.when or 'every car'}"
    marks: list[Mark] = [
        Rule(_SIDE, foot - 10, right, foot - 10, 0.4),
        Line(_SIDE, foot, _shortened(about, width - 2 * _SIDE - 60), _SMALL),
        Line(right, foot, ((f"{n} of {pages}", True),), _SMALL, "right"),
    ]
    if n > 1:
        top = _shortened(f"{head.shop} · {head.title}", width - 2 * _SIDE)
        marks.append(Line(_SIDE, 38, top, _SMALL))
    return marks


def _shortened(text: str, room: float) -> tuple[tuple[str, bool], ...]:
    """A text on one line, its end left out where there is no room for it."""
    text = printable(text).replace("\n", " ")
    if width_of(text, _SMALL) <= room:
        return ((text, False),)
    kept = list(text[:400])
    while kept and width_of("".join(kept), _SMALL) > room - _SMALL:
        kept.pop()
    return (("".join(kept) + "…", False),)


def _draw_page(canvas: Any, page: Sequence[Placed], height: float) -> None:
    for top, piece in page:
        for mark in piece.marks:
            _draw(canvas, moved(mark, _SIDE, _TOP + top), height)


def _draw(canvas: Any, mark: Mark, height: float) -> None:
    """Draw a mark; PDF counts y from the bottom of the page."""
    match mark:
        case Line():
            _draw_line(canvas, mark, height)
        case Rule(x1, y1, x2, y2, width, dashed):
            canvas.setLineWidth(width)
            canvas.setDash(*((3, 4) if dashed else ()))
            canvas.line(x1, height - y1, x2, height - y2)
            canvas.setDash()
        case Box(x, y, width, tall, line, filled):
            canvas.setLineWidth(line)
            canvas.rect(x, height - y - tall, width, tall, int(line > 0), int(filled))
        case Circle(x, y, radius, line):
            canvas.setLineWidth(line)
            canvas.circle(x, height - y, radius)
        case Triangle(corners):
            path = canvas.beginPath()
            path.moveTo(corners[0][0], height - corners[0][1])
            for x, y in corners[1:]:
                path.lineTo(x, height - y)
            path.close()
            canvas.drawPath(path, 0, 1)


def _draw_line(canvas: Any, line: Line, height: float) -> None:
    wide = sum(width_of(text, line.size, bold) for text, bold in line.runs)
    x = line.x - {"left": 0.0, "centre": wide / 2, "right": wide}[line.align]
    canvas.setFillGray(1 if line.white else 0)
    for text, bold in line.runs:
        canvas.setFont(BOLD if bold else REGULAR, line.size)
        canvas.drawString(x, height - line.y, text)
        x += width_of(text, line.size, bold)
    canvas.setFillGray(0)
