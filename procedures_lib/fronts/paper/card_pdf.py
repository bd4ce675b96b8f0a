"""A card as PDF: its blocks in reading order, the same bytes for the same card."""

from __future__ import annotations

import datetime
import io
from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any

from reportlab.lib.utils import TimeStamp
from reportlab.pdfgen.canvas import Canvas

from procedures_lib.fronts.paper.blocks import (
    Placed,
    facts,
    head_blocks,
    heading,
    lay,
    paragraph,
    signal_block,
    subheading,
)
from procedures_lib.fronts.paper.card import Card
from procedures_lib.fronts.paper.card_lists import CardJoint
from procedures_lib.fronts.paper.drawing import drawing_blocks
from procedures_lib.fronts.paper.marks import (
    BOLD,
    MISSING,
    REGULAR,
    Block,
    Box,
    Circle,
    Line,
    Mark,
    Rule,
    Triangle,
    moved,
    printable,
    width_of,
)
from procedures_lib.fronts.paper.step_blocks import Cell, Col, rows_block, step_block, table_block
from procedures_lib.fronts.tables.table import Table

_NOTE = (
    "One row for each joint. Write down the lowest and the highest torque that its fasteners "
    "reached, the wrench, and your initials."
)


def card_blocks(card: Card, width: float) -> list[Block]:
    """Return all blocks of a card, for pages of this width."""
    sections = (_before, _steps, _joints, _orders, _closing, _handover)
    head = head_blocks(card.head, width)
    return [*head, *(block for section in sections for block in section(card, width))]


def _before(card: Card, width: float) -> Iterator[Block]:
    if card.signals:
        yield heading("Hazards", width)
        yield from (signal_block(signal, width) for signal in card.signals)
    yield from _table("Kit check-in", card.check_in, width)
    yield from _table("Tools", card.tools, width)
    if card.supplies:
        yield heading("Supplies", width)
        yield rows_block([Col("Supply")], [_row(name) for name in card.supplies], width)


def _steps(card: Card, width: float) -> Iterator[Block]:
    yield heading("Steps", width)
    if card.left_out:
        numbers = ", ".join(map(str, card.left_out))
        yield paragraph(f"Numbered as on the page. Left out, as for other cars: {numbers}.", width)
    yield from (step_block(step, width) for step in card.steps)
    yield from (signal_block(signal, width) for signal in card.after)


def _joints(card: Card, width: float) -> Iterator[Block]:
    if not card.joints:
        return
    yield heading("Torques, and what was reached", width)
    yield paragraph(_NOTE, width)
    cols = (Col("Joint"), Col("Tighten to", width * 0.24), Col("Step", 34),
            Col("Reached", width * 0.14, True), Col("Wrench", width * 0.12, True),
            Col("By", 32, True))  # fmt: skip
    yield rows_block(cols, [_joint(joint) for joint in card.joints], width, 26.0)


def _joint(joint: CardJoint) -> Sequence[Cell]:
    name = f"{joint.count} × {joint.name}" if joint.count > 1 else joint.name
    only = [(f"\nonly: {joint.only}", True)] if joint.only else []
    details = [(f"\n{'; '.join(joint.details)}", False)] if joint.details else []
    first = [(name, True), *only, *details]
    blank: Cell = [("", False)]
    return [first, [(joint.stages, True)], [(joint.steps, False)], blank, blank, blank]


def _orders(card: Card, width: float) -> Iterator[Block]:
    if card.drawings:
        yield heading("Tightening orders", width)
        yield from drawing_blocks(card.drawings, width)


def _closing(card: Card, width: float) -> Iterator[Block]:
    closing = card.closing
    if not (closing.tight.rows or closing.tests.rows or closing.rechecks):
        return
    yield heading("Close-up", width)
    for table in (closing.tight, closing.tests):
        block = table_block(table, width)
        if block is not None:
            yield subheading(table.caption, width)
            yield block
    if closing.rechecks:
        yield subheading("Re-checks due", width)
        yield rows_block([Col("Re-check")], [_row(text) for text in closing.rechecks], width)


def _handover(card: Card, width: float) -> Iterator[Block]:
    """The customer's sheet and the signatures: as much of it on one page as a page holds."""
    yield heading("Hand-over", width)
    for block in facts(card.handover, width):
        yield replace(block, with_next=True)
    cols = (Col("Signed"), Col("Name", width * 0.26, True), Col("Signature", width * 0.4, True),
            Col("Date", width * 0.16, True))  # fmt: skip
    blank: Cell = [("", False)]
    rows = [
        [[(who, True)], blank, blank, blank] for who in ("Technician", "Checked by", "Customer")
    ]
    yield replace(rows_block(cols, rows, width, 26.0, boxes=False), loose=False)


def _table(title: str, table: Table, width: float) -> Iterator[Block]:
    block = table_block(table, width)
    if block is not None:
        yield heading(title, width)
        yield block


def _row(text: str) -> Sequence[Cell]:
    return [[(text, False)]]


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
