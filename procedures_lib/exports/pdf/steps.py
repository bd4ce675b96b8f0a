"""A step on paper: its tick box in the margin, and beside it all that belongs to the step."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.exports.pdf.blocks import BODY, SMALL, beside, shifted, signal_pieces, tick
from procedures_lib.exports.pdf.marks import Block, Rule
from procedures_lib.exports.pdf.setting import space, text_pieces

if TYPE_CHECKING:
    from procedures_lib.exports.card_steps import CardStep
    from procedures_lib.exports.pdf.marks import Piece
    from procedures_lib.tables.action_words import Doing

MARGIN = 24.0
"""From the left edge to the text of a step; the tick box stands in it."""

_TITLE = 11.0
_BOX = 15.0
_INDENT = 10.0


def step_block(step: CardStep, width: float) -> Block:
    """Return a step: kept on one page if a page holds it, its head and hazards in any case."""
    inner = width - MARGIN
    head = _head(step, inner)
    rest = [piece for doing in step.doings for piece in _doing(doing, inner)]
    if step.drawings:
        numbers = ", ".join(map(str, step.drawings))
        rest += text_pieces([(f"Order: see drawing {numbers}", False)], SMALL, inner, _INDENT)
    for text in step.prose:
        rest += [space(1.5), *text_pieces([(text, False)], SMALL, inner)]
    pieces = [shifted(piece, MARGIN) for piece in (*head, *rest)]
    pieces[0] = beside(pieces[0], tick(0, 2.0, _BOX))
    if len(pieces) == 1:
        pieces.append(space(4.0))
    top = beside(space(4.0), Rule(0, 1, width, 1, 0.3))
    again = text_pieces([(f"{step.number} ", True), ("(continued)", False)], SMALL, inner)[0]
    return Block((top, *pieces, space(5.0)), 1 + len(head) + (1 if rest else 0),
                 shifted(again, MARGIN))  # fmt: skip


def _head(step: CardStep, width: float) -> list[Piece]:
    head = text_pieces([(f"{step.number}  ", True), (step.title, True)], _TITLE, width)
    if step.only:
        head += text_pieces([("Only: ", True), (step.only, True)], BODY, width)
    if step.facts:
        said = " · ".join(f"{label}: {text}" for label, text in step.facts)
        head += text_pieces([(said, False)], SMALL, width)
    head.append(space(2.0))
    for signal in step.signals:
        head += signal_pieces(signal, width)
    return head


def _doing(doing: Doing, width: float) -> list[Piece]:
    runs = [(f"{doing.verb} ", True), (doing.name, False)]
    if doing.torque:
        runs += [(": ", False), (doing.torque, True)]
    if doing.only:
        runs.append((f"  (only: {doing.only})", True))
    lines = text_pieces(runs, BODY, width - _INDENT, _INDENT)
    bullet = text_pieces([("•", False)], BODY, _INDENT, 1.0)[0]
    return [beside(lines[0], *bullet.marks), *lines[1:]]
