"""A card as blocks, section by section, in the order in which they are read and filled in."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from procedures_lib.exports.pdf.blocks import facts, heading, paragraph, signal_block, subheading
from procedures_lib.exports.pdf.drawing import drawing_blocks
from procedures_lib.exports.pdf.head import head_blocks
from procedures_lib.exports.pdf.steps import step_block
from procedures_lib.exports.pdf.tables import Col, rows_block, table_block

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from procedures_lib.exports.card import Card
    from procedures_lib.exports.card_joints import CardJoint
    from procedures_lib.exports.pdf.marks import Block
    from procedures_lib.exports.pdf.tables import Cell
    from procedures_lib.tables.table import Table

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
    for block in facts(card.handover.lines, width):
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
