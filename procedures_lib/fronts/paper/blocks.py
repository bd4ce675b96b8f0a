"""The blocks of a card: headings, paragraphs, signal words, its head, laid on pages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from procedures_lib.fronts.paper.card import CardHead
from procedures_lib.fronts.paper.card_lists import CardSignal
from procedures_lib.fronts.paper.marks import (
    LEADING,
    Block,
    Box,
    Line,
    Mark,
    Piece,
    Rule,
    moved,
    printable,
    qr_boxes,
    set_lines,
    space,
    text_pieces,
    width_of,
)

BODY, SMALL, HEADING = 9.5, 8.5, 13.0
TICK = 11.0
"""The side of a tick box."""

_BAR = 14.0
_INSET = 6.0
_FRAME = {"DANGER": 2.4, "WARNING": 1.8, "CAUTION": 1.2, "NOTICE": 0.6}
"""How thick the frame of each signal word is: the graver, the thicker."""


def heading(text: str, width: float) -> Block:
    """Return a heading, which stays with what follows it."""
    pieces = text_pieces([(text, True)], HEADING, width)
    rule = Piece(5.0, (Rule(0, 2, width, 2, 0.8),))
    return Block((space(10.0), *pieces, rule), len(pieces) + 2, with_next=True)


def subheading(text: str, width: float) -> Block:
    """Return a smaller heading, which stays with what follows it."""
    pieces = text_pieces([(text, True)], BODY, width)
    return Block((space(5.0), *pieces, space(2.0)), len(pieces) + 2, with_next=True)


def paragraph(text: str, width: float, size: float = SMALL) -> Block:
    """Return a paragraph."""
    return Block((*text_pieces([(text, False)], size, width), space(2.0)), 2)


def facts(pairs: Iterable[tuple[str, str]], width: float, label: float = 92.0) -> list[Block]:
    """Return labels with their texts beside them, a block each."""
    return [_fact(name, text, width, label) for name, text in pairs]


def _fact(name: str, text: str, width: float, label: float) -> Block:
    names = set_lines([(name, True)], SMALL, label - 6)
    texts = set_lines([(text, False)], SMALL, width - label)
    pieces = []
    for n in range(max(len(names), len(texts))):
        marks: list[Mark] = []
        if n < len(names):
            marks.append(Line(0, SMALL * 0.95, names[n], SMALL))
        if n < len(texts):
            marks.append(Line(label, SMALL * 0.95, texts[n], SMALL))
        pieces.append(Piece(SMALL * LEADING, tuple(marks)))
    return Block((*pieces, space(1.5)), len(names))


def choice(label: str, values: Iterable[str], width: float) -> Block:
    """Return an option with a tick box before each of its values."""
    marks: list[Mark] = [Line(0, SMALL * 0.95, ((printable(label), True),), SMALL)]
    pieces, x = [], 92.0
    for value in values:
        text = set_lines([(value, False)], SMALL, width - 92.0 - TICK)[0]
        wide = sum(width_of(part, SMALL, bold) for part, bold in text)
        if x > 92.0 and x + TICK + 4 + wide > width:
            pieces.append(Piece(TICK + 3, tuple(marks)))
            marks, x = [], 92.0
        marks += [tick(x, 0.5, 8.0), Line(x + TICK, SMALL * 0.95, text, SMALL)]
        x += TICK + wide + 14
    return Block((*pieces, Piece(TICK + 3, tuple(marks))), len(pieces) + 1)


def tick(x: float, y: float, side: float = TICK) -> Box:
    """Return a tick box."""
    return Box(x, y, side, side, 0.9)


def signal_pieces(signal: CardSignal, width: float) -> list[Piece]:
    """Return a signal word in its frame, a piece a line, so that any page can part it."""
    inner = width - 2 * _INSET
    line = _FRAME.get(signal.word, 1.0)
    lines: list[Piece] = [_bar(signal, width)]
    if signal.title:
        lines += text_pieces([(signal.title, True)], BODY, inner, _INSET)
    for text in signal.lines:
        lines += text_pieces([(text, False)], SMALL, inner, _INSET)
    lines.append(space(3.0))
    framed = [
        Piece(piece.height, (*piece.marks, *_sides(width, piece.height, line))) for piece in lines
    ]
    last = framed[-1]
    bottom = Rule(0, last.height, width, last.height, line)
    return [*framed[:-1], Piece(last.height, (*last.marks, bottom)), space(4.0)]


def signal_block(signal: CardSignal, width: float) -> Block:
    """Return a signal word as a block of its own."""
    pieces = tuple(signal_pieces(signal, width))
    return Block(pieces, min(len(pieces), 3))


def _bar(signal: CardSignal, width: float) -> Piece:
    """The signal word white on black, or black between lines where only things are at risk."""
    white = signal.word != "NOTICE"
    word = Line(_INSET, 10.4, ((signal.word, True),), 10.0, white=white)
    return Piece(_BAR + 2, (Box(0, 0, width, _BAR, _FRAME.get(signal.word, 1.0), white), word))


def _sides(width: float, height: float, line: float) -> tuple[Rule, Rule]:
    return Rule(0, 0, 0, height, line), Rule(width, 0, width, height, line)


def shifted(piece: Piece, dx: float) -> Piece:
    """Return a piece moved to the right."""
    return Piece(piece.height, tuple(moved(mark, dx, 0) for mark in piece.marks))


def beside(piece: Piece, *marks: Mark) -> Piece:
    """Return a piece with more marks on it."""
    return Piece(piece.height, (*piece.marks, *marks))


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


Placed = tuple[float, "Piece"]
"""How far below the top of the page's room a piece begins, and the piece."""


def lay(blocks: Sequence[Block], room: float) -> list[list[Placed]]:
    """Return the pages, each with ``room`` points from top to bottom.

    A block that fits on a page is not parted unless it is loose; of others the lead stays together.
    """
    pages = _Pages()
    for n, block in enumerate(blocks):
        if pages.used and pages.used + _need(blocks, n, room) > room:
            pages.turn()
        for piece in block.pieces:
            if pages.used and pages.used + piece.height > room:
                pages.turn()
                if block.again is not None:
                    pages.put(block.again)
            pages.put(piece)
    return pages.pages


def _need(blocks: Sequence[Block], n: int, room: float) -> float:
    """What has to fit below for a block to begin there, with what it has to stand with."""
    need = 0.0
    for block in blocks[n:]:
        whole = block.height <= room and not block.loose
        need += block.height if whole else min(block.lead_height, room)
        if not block.with_next:
            break
    return need if need <= room else min(blocks[n].lead_height, room)


class _Pages:
    """The pages so far, and how much of the last one is used."""

    def __init__(self) -> None:
        self.pages: list[list[Placed]] = [[]]
        self.used = 0.0

    def turn(self) -> None:
        self.pages.append([])
        self.used = 0.0

    def put(self, piece: Piece) -> None:
        self.pages[-1].append((self.used, piece))
        self.used += piece.height
