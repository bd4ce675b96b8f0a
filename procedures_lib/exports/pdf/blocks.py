"""The plain blocks of a card: headings, paragraphs, facts, signal words in their frames."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.exports.pdf.fonts import printable, width_of
from procedures_lib.exports.pdf.marks import Block, Box, Line, Piece, Rule, moved
from procedures_lib.exports.pdf.setting import LEADING, set_lines, space, text_pieces

if TYPE_CHECKING:
    from collections.abc import Iterable

    from procedures_lib.exports.card_steps import CardSignal
    from procedures_lib.exports.pdf.marks import Mark

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
