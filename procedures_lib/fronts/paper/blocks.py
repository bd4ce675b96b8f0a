"""The blocks of a card: headings, facts, signal words, tables and steps, as flowables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.platypus import (
    Flowable,
    HRFlowable,
    KeepTogether,
    Paragraph,
    PTOContainer,
    Spacer,
    Table,
)

from procedures_lib.fronts.paper.card_lists import CardRule, CardSignal, CardStep
from procedures_lib.fronts.paper.lettering import (
    BOLD,
    REGULAR,
    TICK,
    Run,
    paragraph,
    printable,
    style,
    width_of,
)
from procedures_lib.fronts.paper.picture import INDENT, CardPicture, MarkedPicture
from procedures_lib.fronts.tables.table import Table as TableValue
from procedures_lib.fronts.tables.words import Doing

MARGIN = INDENT
"""From the left edge to the text of a step; the tick box stands in it."""

SMALL = style(8.5)
_STRONG = style(9.5, fontName=BOLD)
_WORD, _PALE_WORD = style(10.0, fontName=BOLD, textColor=white), style(10.0, fontName=BOLD)
_HEADING = style(13.0, fontName=BOLD, spaceBefore=14.0, keepWithNext=1)
_SUBHEADING = style(9.5, fontName=BOLD, spaceBefore=6.0, spaceAfter=2.0, keepWithNext=1)
_TITLE = style(11.0, fontName=BOLD, leftIndent=MARGIN,
               bulletFontSize=20.0, bulletIndent=-1.5, bulletOffsetY=-3.0)  # fmt: skip
_ONLY = style(9.5, fontName=BOLD, leftIndent=MARGIN)
_PROSE = style(8.5, leftIndent=MARGIN, spaceBefore=1.5)
_BESIDE = style(8.5, leftIndent=8.0, spaceAfter=2.0)
_DOING = style(9.5, leftIndent=MARGIN + 12.0, bulletIndent=MARGIN + 1.0, bulletFontSize=9.5)
_ORDER = style(8.5, leftIndent=MARGIN + 12.0)

_FRAME = {"DANGER": 2.4, "WARNING": 1.8, "CAUTION": 1.2, "NOTICE": 0.6}
"""How thick the frame of each signal word is: the graver, the thicker."""

ALL = (0, 0), (-1, -1)
_GAP = 3.0
"""Points to the left and to the right of a text in a table."""


Orders = Mapping[int, Sequence[Flowable]]
NO_ORDERS: Orders = MappingProxyType({})


class Rows(Table):
    """A table that is parted between two rows; inside a row only where no page holds that."""

    _LONG = 640.0
    """Points; every sheet has room for such a row below its header."""

    _rowHeights: list[float]  # noqa: N815 - the name is reportlab's

    def split(self, width: float, height: float) -> list[Flowable]:
        """Return the rows that fit in a height, and the others; [] when not one of them fits."""
        self.splitInRow = int(self._rowHeights[self.repeatRows] > self._LONG)
        return super().split(width, height)


class Together(KeepTogether):
    """What stands on one page if a page holds it; rows may go on on the next under their header."""

    _content: list[Flowable]
    _H: float

    def split(self, width: float, height: float) -> list[Flowable]:
        """Begin here if rows that stand last can begin here; else on the next page."""
        last = self._content[-1]
        room = height - self._H + last.wrapOn(self.canv, width, height)[1]
        begins = isinstance(last, Rows) and last.splitOn(self.canv, width, room)
        return self._content[:] if begins else super().split(width, height)


def heading(text: str) -> list[Flowable]:
    """Return a heading, which stays with what follows it."""
    return [paragraph(text, _HEADING), _rule(0.8, 2.0)]


def subheading(text: str) -> Paragraph:
    """Return a smaller heading, which stays with what follows it."""
    return paragraph(text, _SUBHEADING)


def _rule(thickness: float, above: float) -> HRFlowable:
    """A line above what it stays with."""
    rule = HRFlowable("100%", thickness, "butt", black, spaceBefore=above, spaceAfter=3.0)
    rule.keepWithNext = 1
    return rule


def rows(cells: Sequence[list[Any]], widths: Sequence[float], *look: Any, **more: Any) -> Rows:
    """Return a table of flowables; ``look`` are commands of reportlab's table style."""
    usual = (
        ("VALIGN", *ALL, "TOP"),
        ("LEFTPADDING", *ALL, 0.0),
        ("RIGHTPADDING", *ALL, _GAP),
        ("TOPPADDING", *ALL, 0.0),
        ("BOTTOMPADDING", *ALL, 1.5),
    )
    return Rows(cells, widths, style=[*usual, *look], **{"hAlign": "LEFT", **more})


def facts(pairs: Iterable[tuple[str, str]], width: float, label: float = 92.0) -> Rows:
    """Return labels with their texts beside them; those of boxes stand as low as the boxes."""
    pairs = tuple(pairs)
    cells = [[paragraph([(name, True)], SMALL), paragraph(text, SMALL)] for name, text in pairs]
    low = [(0, n) for n, (_, text) in enumerate(pairs) if TICK in text]
    return rows(
        cells,
        (label, width - label),
        *(("TOPPADDING", at, at, 4.0) for at in low),
        *(("BOTTOMPADDING", at, at, 3.0) for at in low),
    )


def signal_frame(signal: CardSignal, width: float) -> Rows:
    """Return a signal word in its frame: white on black, but where only things are at risk."""
    line, people = _FRAME.get(signal.word, 1.0), signal.word != "NOTICE"
    texts = [paragraph(signal.title, _STRONG)] if signal.title else []
    texts += [paragraph(text, SMALL) for text in signal.lines]
    bar = (0, 0), (0, 0)
    return rows(
        [[paragraph(signal.word, _WORD if people else _PALE_WORD)], [texts]],
        [width],
        ("LEFTPADDING", *ALL, 6.0),
        ("BOTTOMPADDING", *ALL, 3.0),
        ("BACKGROUND", *bar, black) if people else ("BOX", *bar, line, black),
        ("BOX", *ALL, line, black),
        repeatRows=1,
        hAlign="RIGHT",
        spaceBefore=4.0,
    )


def rule_lines(rule: CardRule) -> Iterator[Flowable]:
    """Yield a rule: its name in bold before its text."""
    first, *rest = rule.lines or ("",)
    yield paragraph([(f"{rule.name}. ", True), (first, False)], _PROSE)
    yield from (paragraph(text, _PROSE) for text in rest)


def step_block(
    step: CardStep, width: float, above: Iterable[Flowable] = (), orders: Orders = NO_ORDERS
) -> KeepTogether:
    """Return a step with what stands above it, on one page if a page holds them.

    ``orders`` has for a place among what is done the drawings of its joint.
    A step that no page holds begins on a page of its own; its number stands again on the next.
    """
    parts: list[Flowable] = [paragraph(f"{step.number}  {step.title}", _TITLE, TICK)]
    if step.only:
        parts.append(paragraph(f"Only: {step.only}", _ONLY))
    if step.facts:
        told = " · ".join(f"{label}: {text}" for label, text in step.facts)
        parts.append(paragraph(told, _PROSE))
    parts += [signal_frame(signal, width - MARGIN) for signal in step.signals]
    for rule in step.rules:
        parts += rule_lines(rule)
    parts.append(Spacer(0, 3.0))
    parts += _doings(step, orders, width)
    parts += [paragraph(text, _PROSE) for text in step.prose]
    for picture in step.pictures:
        parts.append(picture_block(picture, width))
    again = paragraph([(f"{step.number} ", True), ("(continued)", False)], _PROSE)
    return KeepTogether([*above, _rule(0.3, 6.0), PTOContainer(parts, header=[again])])


def picture_block(picture: CardPicture, width: float) -> Flowable:
    """Return a picture with its words beside it; a step keeps them together as all it has."""
    if picture.step:
        again = ". ".join((f"Picture: see step {picture.step}", *picture.lines))
        return paragraph(again, _PROSE)
    words = (picture.caption, *picture.lines, *filter(None, [picture.around]))
    if not picture.image:
        return rows([[[paragraph(text, _PROSE) for text in words]]], [width])
    drawn = MarkedPicture(picture)
    beside = [paragraph(text, _BESIDE) for text in words]
    left = drawn.width + MARGIN
    return rows([[drawn, beside]], (left, width - left), spaceBefore=4.0)


def _doings(step: CardStep, orders: Orders, width: float) -> Iterator[Flowable]:
    """What a step does, and under each joint its order: drawn, or where that is drawn."""
    for n, doing in enumerate(step.doings):
        yield paragraph(_doing(doing), _DOING, "•")
        for drawn in orders.get(n, ()):
            yield rows([["", drawn]], (MARGIN, width - MARGIN), spaceBefore=3.0)
        if numbers := ", ".join(map(str, step.drawn[n])) if n not in orders else "":
            yield paragraph(f"Order: see drawing {numbers}", _ORDER)


def _doing(doing: Doing) -> Iterator[Run]:
    yield f"{doing.verb} ", True
    yield doing.name, False
    if doing.torque:
        yield ": ", False
        yield doing.torque, True
    if doing.only:
        yield f"  (only: {doing.only})", True


@dataclass(frozen=True, slots=True)
class Col:
    """A column: ``width`` in points, 0 to share what is left; empty ones are ruled to write in."""

    label: str
    width: float = 0.0
    ruled: bool = False


def tick_table(table: TableValue, width: float) -> Rows:
    """Return a table that has rows, with a tick box before each of them."""
    kept = table.without_empty_columns()
    texts = [[[(cell.text, False)] for cell in row.cells] for row in kept.rows]
    for row, cells in zip(kept.rows, texts, strict=True):
        cells[0] += [(f"\nonly: {row.when}", True)] if row.when else []
    return tick_rows([Col(column.label) for column in kept.columns], texts, width)


def tick_rows(
    cols: Sequence[Col], texts: Sequence[Sequence[Sequence[Run]]], width: float, tick: str = TICK
) -> Rows:
    """Return rows of texts under their header, with a tick box before each.

    Ruled columns have no texts, and make each row high enough to write in.
    """
    box = 16.0 if tick else 0.0
    blank = [Spacer(0, 21.0) for col in cols if col.ruled]
    cells = [["", *(paragraph([(col.label, True)], SMALL) for col in cols)]]
    widths = _widths(cols, texts, width - box)
    cells += [[tick, *map(_cell, row, widths), *blank] for row in texts]
    return rows(
        cells,
        [box, *widths],
        ("FONT", *ALL, REGULAR, SMALL.fontSize, SMALL.leading),
        ("LEFTPADDING", (1, 0), (-1, -1), _GAP),
        ("TOPPADDING", (0, 1), (-1, -1), 2.0),
        ("BOTTOMPADDING", *ALL, 3.0),
        ("TOPPADDING", (0, 1), (0, -1), -1.0),
        ("FONT", (0, 1), (0, -1), REGULAR, 13.0, 8.0),
        ("LINEBELOW", *ALL, 0.3, black),
        ("LINEBELOW", (0, 0), (-1, 0), 0.9, black),
        *(
            ("LINEBEFORE", (n, 1), (n, -1), 0.3, black)
            for n, col in enumerate(cols, 1)
            if col.ruled
        ),
        repeatRows=1,
        spaceAfter=6.0,
    )


def _cell(runs: Sequence[Run], width: float) -> Any:
    """A text in a table: as it is where it fits on a line, else set as a paragraph."""
    [(text, bold), *more] = runs
    fits = not bold and not more and width_of(text, SMALL.fontSize) < width - 2 * _GAP
    return printable(text) if fits else paragraph(runs, SMALL)


def _widths(
    cols: Sequence[Col], texts: Sequence[Sequence[Sequence[Run]]], room: float
) -> list[float]:
    """Share the room: narrow columns take what they need, the others share the rest."""
    widths = [col.width for col in cols]
    left = room - sum(widths)
    needs = {n: _need(n, col, texts) for n, col in enumerate(cols) if not col.width}
    for n in sorted(needs, key=needs.__getitem__):
        widths[n] = min(needs.pop(n), left / (len(needs) + 1))
        left -= widths[n]
    widths[max(n for n, col in enumerate(cols) if not col.width)] += left
    return widths


def _need(n: int, col: Col, texts: Sequence[Sequence[Sequence[Run]]]) -> float:
    """The width of a column's longest line, in points."""
    whole = [col.label, *("".join(text for text, _ in row[n]) for row in texts)]
    lines = (line for text in whole for line in text.split("\n"))
    return max(width_of(line, SMALL.fontSize, bold=True) for line in lines) + 2 * _GAP + 1
