"""A card as PDF: its blocks in reading order, the same bytes for the same card."""

from __future__ import annotations

import datetime
import io
import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from functools import partial
from typing import Any

import segno
from reportlab import rl_config
from reportlab.lib.colors import black
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    Indenter,
    KeepTogether,
    PageTemplate,
)

from procedures_lib.fronts.paper.blocks import (
    ALL,
    MARGIN,
    SMALL,
    Col,
    Together,
    facts,
    heading,
    rows,
    rule_lines,
    signal_frame,
    step_block,
    subheading,
    tick_rows,
    tick_table,
)
from procedures_lib.fronts.paper.card import Card, CardHead
from procedures_lib.fronts.paper.card_lists import CardJoint
from procedures_lib.fronts.paper.drawing import drawing_blocks
from procedures_lib.fronts.paper.lettering import (
    BOLD,
    MISSING,
    REGULAR,
    TICK,
    Run,
    paragraph,
    printable,
    style,
    width_of,
)
from procedures_lib.fronts.tables.table import Table

SIZES = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""Width and height of the sheets in points: ISO 216 A4 and US Letter."""

QR_SIDE = 96.0
"""The side of the QR code with its quiet zone, 34 mm."""

QUIET = 4
"""White modules around the code (ISO/IEC 18004:2015, 5.3.8)."""

_SIDE, _TOP, _BOTTOM = 42.0, 52.0, 46.0
_SHOP, _TITLE = style(9.5, spaceAfter=4.0), style(17.0, fontName=BOLD, spaceAfter=6.0)
_NOTE = style(8.5, spaceAfter=3.0, keepWithNext=1)
_EDGE = 8.0
"""The size of the letters at the head and foot of each page."""

_BLANKS = ("Work order", "", "Registration", "", "Odometer")
_REACHED = (
    "One row for each joint. Write down the lowest and the highest torque that its fasteners "
    "reached, the wrench, and your initials."
)
_UNDATED = datetime.date(2000, 1, 1)

rl_config.useA85 = 0  # bytes as they are: the file is a fifth smaller than in letters


def card_pdf(card: Card, size: str = "a4") -> bytes:
    """Return a card as a PDF file, on sheets of one of the sizes in ``SIZES`` (else KeyError)."""
    (wide, tall), head, out = SIZES[size], card.head, io.BytesIO()
    width = wide - 2 * _SIDE
    frame = Frame(_SIDE, _BOTTOM, width, tall - _TOP - _BOTTOM, 0, 0, 0, 0)
    document = BaseDocTemplate(
        out,
        pagesize=SIZES[size],
        pageTemplates=[PageTemplate(frames=[frame], onPage=partial(_draw_top, head))],
        keepTogetherClass=Together,
        invariant=1,
        pageCompression=1,
        lang="en",
        title=printable(f"{head.title} ({head.procedure})"),
        author=printable(head.shop),
        subject=printable(f"Job card, revision {head.revision}, {head.when or 'every car'}"),
        creator="procedures",
    )
    document.build([*_story(card, width)], canvasmaker=partial(_Pages, head))
    return out.getvalue()


def signs_lacking(card: Card) -> str:
    """Return the signs of a card that its font lacks, each once, in the order of their codes."""
    signs = set(json.dumps(asdict(card), ensure_ascii=False, default=str)) - {MISSING}
    return "".join(sorted(sign for sign in signs if printable(sign) == MISSING))


class _Pages(Canvas):
    """Pages that are written once all are laid out, so that each foot tells how many there are.

    The file knows no time but the day on which the card's page was reviewed.
    """

    _doc: Any

    def __init__(self, head: CardHead, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self._head = head
        self._laid: list[dict[str, Any]] = []
        day = datetime.date.fromisoformat(head.reviewed) if head.reviewed else _UNDATED
        self._doc._timeStamp.YMDhms = (day.year, day.month, day.day, 0, 0, 0)

    def showPage(self) -> None:  # noqa: N802 - the name is reportlab's
        """Keep the page that is laid out, and begin the next."""
        self._laid.append(dict(vars(self)))
        self._startPage()  # type: ignore[attr-defined]

    def save(self) -> None:
        """Write the pages, each with its foot, and the file."""
        for page in self._laid:
            vars(self).update(page)
            _draw_foot(self, self._head, len(self._laid))
            super().showPage()
        super().save()


def _draw_top(head: CardHead, canvas: Any, document: Any) -> None:
    """Draw what stands above the text: the QR code, on later pages shop and title."""
    width, height = document.pagesize
    if document.page > 1:
        canvas.setFont(REGULAR, _EDGE)
        top = _shortened(f"{head.shop} · {head.title}", width - 2 * _SIDE)
        canvas.drawString(_SIDE, height - 38, top)
    elif head.address:
        canvas.saveState()
        canvas.translate(width - _SIDE - QR_SIDE, height - _TOP)
        _draw_code(head.address, canvas)
        canvas.restoreState()


def _draw_code(address: str, canvas: Any) -> None:
    """Draw the QR code; dark modules side by side are one box, so that no hair line shows."""
    code = [*segno.make_qr(address, error="m").matrix_iter(border=QUIET)]
    canvas.scale(QR_SIDE / len(code), -QR_SIDE / len(code))
    for y, row in enumerate(code):
        for dark in re.finditer(b"\1+", bytes(row)):
            canvas.rect(dark.start(), y, len(dark[0]), 1, stroke=0, fill=1)


def _draw_foot(canvas: Any, head: CardHead, pages: int) -> None:
    right, y = canvas._pagesize[0] - _SIDE, _BOTTOM - 18
    about = f"{head.procedure} · revision {head.revision} · {head.when or 'every car'}"
    canvas.setLineWidth(0.4)
    canvas.line(_SIDE, y + 10, right, y + 10)
    canvas.setFont(REGULAR, _EDGE)
    canvas.drawString(_SIDE, y, _shortened(about, right - _SIDE - 60))
    canvas.setFont(BOLD, _EDGE)
    canvas.drawRightString(right, y, f"{canvas.getPageNumber()} of {pages}")


def _shortened(text: str, room: float) -> str:
    """A text on one line, its end left out where there is no room for it."""
    whole = printable(text).replace("\n", " ")
    cuts = (f"{whole[:length]}…" for length in range(min(len(whole), 400), 0, -1))
    return next(each for each in (whole, *cuts) if width_of(each, _EDGE) <= room)


def _story(card: Card, width: float) -> Iterator[Flowable]:
    """Yield all blocks of a card, for pages of this width."""
    yield from _head(card.head, width)
    if card.signals:
        yield from heading("Hazards")
    yield from (signal_frame(signal, width) for signal in card.signals)
    if card.rules:
        yield from heading("Rules")
    for rule in card.rules:
        yield from rule_lines(rule)
    yield from _table(heading("Kit check-in"), card.check_in, width)
    yield from _table(heading("Tools"), card.tools, width)
    yield from _list(heading("Protective equipment"), "Worn", card.protection, width)
    yield from _list(heading("Supplies"), "Supply", card.supplies, width)
    yield from _steps(card, width)
    if card.joints:
        yield from _joints(card.joints, width)
    drawn = {number for step in card.steps for number in step.drawings}
    if left := [each for each in card.drawings if each.number not in drawn]:
        yield from heading("Tightening orders")
        yield from drawing_blocks(left, width)
    yield from _closing(card, width)
    yield _handover(card, width)


def _head(head: CardHead, width: float) -> Iterator[Flowable]:
    """The head, in the order in which it stands on the first page, beside the QR code."""
    code = QR_SIDE + 8 if head.address else 0.0
    yield Indenter(0, code)
    yield paragraph([(head.shop, True), (f" · {head.manual} · Job card", False)], _SHOP)
    yield paragraph(head.title, _TITLE)
    yield facts(_about(head), width - code)
    yield Indenter(0, -code)
    blanks = [paragraph([(text, True)], SMALL) for text in _BLANKS]
    lines = (("LINEBELOW", (n, 0), (n, 0), 0.5, black) for n in (0, 2, 4))
    third = (width - 20) / 3
    yield rows([blanks], (third, 10, third, 10, third), *lines, spaceBefore=14.0, spaceAfter=8.0)
    notices = [[paragraph([(text, True)], SMALL)] for text in head.notices]
    yield rows(notices, [width], ("BOX", *ALL, 0.8, black), ("LEFTPADDING", *ALL, 6.0),
               ("BOTTOMPADDING", *ALL, 3.0), spaceAfter=4.0)  # fmt: skip
    if head.address:
        yield paragraph(f"The page of this card: {head.address}", SMALL)


def _about(head: CardHead) -> Iterator[tuple[str, str]]:
    """The procedure and the cars; options that are still open have boxes to tick."""
    yield "Procedure", head.procedure + (f", revision {head.revision}" if head.revision else "")
    if head.reviewed:
        yield "Reviewed", head.reviewed
    yield from head.facts
    yield "This card is for", head.when or "every car that the procedure is for"
    for each in head.choices:
        boxes = "  ".join(f"{TICK}\u00a0{value}\u00a0" for value in each.values)
        yield each.option.replace("-", " ").capitalize(), each.chosen or boxes


def _steps(card: Card, width: float) -> Iterator[Flowable]:
    above: list[Flowable] = heading("Steps")
    if card.left_out:
        numbers = ", ".join(map(str, card.left_out))
        told = f"Numbered as on the page. Left out, as for other cars: {numbers}."
        above.append(paragraph(told, _NOTE))
    drawings = {each.number: each for each in card.drawings}
    for step in card.steps:
        orders = {}
        for n, named in enumerate(step.drawn):
            if first := [drawings.pop(number) for number in named if number in drawings]:
                orders[n] = drawing_blocks(first, width - MARGIN)
        yield step_block(step, width, above, orders)
        above = []
    yield from above
    yield from (signal_frame(signal, width) for signal in card.after)


def _joints(joints: Iterable[CardJoint], width: float) -> Iterator[Flowable]:
    yield from heading("Torques, and what was reached")
    yield paragraph(_REACHED, _NOTE)
    cols = (Col("Joint"), Col("Tighten to", width * 0.24), Col("Step", 34),
            Col("Reached", width * 0.14, True), Col("Wrench", width * 0.12, True),
            Col("By", 32, True))  # fmt: skip
    yield tick_rows(cols, [_joint(joint) for joint in joints], width)


def _joint(joint: CardJoint) -> list[list[Run]]:
    name = f"{joint.count} × {joint.name}" if joint.count > 1 else joint.name
    only = [(f"\nonly: {joint.only}", True)] if joint.only else []
    details = [(f"\n{'; '.join(joint.details)}", False)] if joint.details else []
    return [[(name, True), *only, *details], [(joint.stages, True)], [(joint.steps, False)]]


def _closing(card: Card, width: float) -> Iterator[Flowable]:
    closing = card.closing
    if closing.tight.rows or closing.tests.rows or closing.rechecks or closing.left_open:
        yield from heading("Close-up")
    for table in (closing.tight, closing.tests):
        yield from _table([subheading(table.caption)], table, width)
    yield from _list([subheading("Re-checks due")], "Re-check", closing.rechecks, width)
    yield from _list([subheading("Handed on open")], "Still open", closing.left_open, width)


def _handover(card: Card, width: float) -> Flowable:
    """The customer's sheet and the signatures: on one page, if a page holds them."""
    cols = (Col("Signed"), Col("Name", width * 0.26, True), Col("Signature", width * 0.4, True),
            Col("Date", width * 0.16, True))  # fmt: skip
    people = [[[(who, True)]] for who in ("Technician", "Checked by", "Customer")]
    lines = [facts(card.handover, width)] if card.handover else []
    return KeepTogether([*heading("Hand-over"), *lines, tick_rows(cols, people, width, tick="")])


def _table(above: list[Flowable], table: Table, width: float) -> list[Flowable]:
    return [*above, tick_table(table, width)] if table.rows else []


def _list(
    above: list[Flowable], label: str, texts: tuple[str, ...], width: float
) -> list[Flowable]:
    lines = [[[(text, False)]] for text in texts]
    return [*above, tick_rows([Col(label)], lines, width)] if lines else []
