"""The head of a card: whose it is, for which procedure and cars, the notice, the QR code."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from procedures_lib.exports.pdf.blocks import BODY, SMALL, beside, choice, facts, paragraph
from procedures_lib.exports.pdf.fonts import width_of
from procedures_lib.exports.pdf.marks import Block, Box, Line, Piece, Rule, moved
from procedures_lib.exports.pdf.qr import qr_boxes
from procedures_lib.exports.pdf.setting import set_lines, space, text_pieces

if TYPE_CHECKING:
    from procedures_lib.exports.card import CardHead
    from procedures_lib.exports.pdf.marks import Mark

QR_SIDE = 96.0
"""The side of the QR code with its quiet zone, 34 mm."""

_TITLE = 17.0
_MOST_LINES = 40


def head_blocks(head: CardHead, width: float) -> list[Block]:
    """Return the head, in the order in which it stands on the first page."""
    inner = width - QR_SIDE - 8 if head.address else width
    blocks = [_title(head, inner), *_about(head, inner)]
    lacking = QR_SIDE + 4 - sum(block.height for block in blocks)
    if head.address:
        blocks[0] = _with_qr(blocks[0], head.address, width)
        blocks += [Block((space(lacking),))] if lacking > 0 else []
    blocks += [_fill_in(("Work order", "Registration", "Odometer"), width), _notice(head, width)]
    if head.address:
        blocks.append(paragraph(f"The page of this card: {head.address}", width))
    return blocks


def _title(head: CardHead, width: float) -> Block:
    pieces = text_pieces([(head.shop, True), (f" · {head.manual} · Job card", False)], BODY, width)
    pieces += [space(4.0), *text_pieces([(head.title, True)], _TITLE, width)]
    return Block((*pieces, space(6.0)), len(pieces))


def _about(head: CardHead, width: float) -> list[Block]:
    """The procedure and the cars; options that are still open have boxes to tick."""
    revision = f"{head.procedure}, revision {head.revision}" if head.revision else head.procedure
    reviewed = [("Reviewed", head.reviewed)] if head.reviewed else []
    cars = [("This card is for", head.when or "every car that the procedure is for")]
    blocks = facts([("Procedure", revision), *reviewed, *head.facts, *cars], width)
    for each in head.choices:
        label = each.option.replace("-", " ").capitalize()
        blocks += (
            facts([(label, each.chosen)], width)
            if each.chosen
            else [choice(label, each.values, width)]
        )
    return blocks


def _with_qr(block: Block, address: str, width: float) -> Block:
    """A block with the QR code at the right, beside it and what comes below."""
    boxes = (moved(box, width - QR_SIDE, 0) for box in qr_boxes(address, QR_SIDE))
    return replace(block, pieces=(beside(block.pieces[0], *boxes), *block.pieces[1:]))


def _fill_in(labels: tuple[str, ...], width: float) -> Block:
    """Labels with a line behind each to write on, side by side."""
    each = width / len(labels)
    marks: list[Mark] = []
    for n, label in enumerate(labels):
        text = f"{label} "
        start = n * each + width_of(text, SMALL, bold=True)
        marks.append(Line(n * each, 20, ((text, True),), SMALL))
        marks.append(Rule(start, 21, (n + 1) * each - 10, 21))
    return Block((Piece(27.0, tuple(marks)),))


def _notice(head: CardHead, width: float) -> Block:
    lines = [
        line for text in head.notices for line in set_lines([(text, True)], SMALL, width - 12)
    ][:_MOST_LINES]
    height = len(lines) * SMALL * 1.22 + 9
    marks: list[Mark] = [Box(0, 3, width, height - 3, 0.8)]
    marks += [Line(6, 5 + SMALL * (0.95 + n * 1.22), line, SMALL) for n, line in enumerate(lines)]
    return Block((space(2.0), Piece(height, tuple(marks)), space(4.0)), 3)
