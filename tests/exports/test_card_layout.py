"""The layout of a card: what must stay together stays together, on any sheet."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from procedures_lib.fronts.paper.blocks import heading, lay, signal_block
from procedures_lib.fronts.paper.card import make_card
from procedures_lib.fronts.paper.card_lists import CardSignal, CardStep
from procedures_lib.fronts.paper.card_pdf import card_blocks
from procedures_lib.fronts.paper.marks import (
    Block,
    Box,
    Line,
    Piece,
    printable,
    set_lines,
    width_of,
)
from procedures_lib.fronts.paper.step_blocks import step_block
from procedures_lib.language.variants import ALWAYS
from tests.demo import demo, demo_plan

WIDTH, ROOM = 511.0, 740.0


def words(piece: Piece) -> str:
    return " ".join(text for mark in piece.marks if isinstance(mark, Line) for text, _ in mark.runs)


def page_of(pages: list[list[tuple[float, Piece]]], piece: Piece) -> int:
    return next(n for n, page in enumerate(pages) if any(each is piece for _, each in page))


def step_of(prose: int, signals: int = 1) -> CardStep:
    signal = CardSignal("WARNING", "Hot", ("Wait until it has cooled down.",))
    return CardStep(7, "Do it", "", (), (signal,) * signals, (), ("Turn it a little. " * prose,))


def test_nothing_of_a_demo_card_overlaps_or_leaves_the_page() -> None:
    for name in ("fit-bd-420", "fit-tf-220", "load-tf-100"):
        blocks = card_blocks(make_card(demo(), demo_plan(name), ALWAYS), WIDTH)
        for page in lay(blocks, ROOM):
            below = 0.0
            for top, piece in page:
                assert top >= below - 0.001
                below = top + piece.height
            assert below <= ROOM + 0.001


def test_no_step_of_the_demo_is_parted() -> None:
    card = make_card(demo(), demo_plan("fit-bd-420"), ALWAYS)
    blocks = [step_block(step, WIDTH) for step in card.steps]
    pages = lay(blocks, ROOM)
    for block in blocks:
        assert len({page_of(pages, piece) for piece in block.pieces}) == 1
    assert len(pages) > 1


def test_a_step_longer_than_a_page_keeps_box_title_and_hazards_together() -> None:
    before = Block(tuple(Piece(100.0) for _ in range(7)))
    step = step_block(step_of(prose=900), WIDTH)
    assert step.height > ROOM
    pages = lay([before, step], ROOM)
    lead = step.pieces[: step.lead]
    assert any(isinstance(mark, Box) and mark.width == 15.0 for p in lead for mark in p.marks)
    assert {page_of(pages, piece) for piece in lead} == {1}
    assert "WARNING" in " ".join(map(words, lead))
    assert words(pages[2][0][1]) == "7  (continued)"


def test_what_goes_on_on_the_next_page_is_the_whole_step() -> None:
    step = step_block(step_of(prose=900), WIDTH)
    placed = [piece for page in lay([step], ROOM) for _, piece in page]
    assert [piece for piece in placed if piece is not step.again] == list(step.pieces)


def test_a_heading_never_stands_alone_at_the_foot() -> None:
    title = heading("Steps", WIDTH)
    before = Block((Piece(ROOM - title.height - 1),))
    pages = lay([before, title, signal_block(CardSignal("DANGER", "It falls"), WIDTH)], ROOM)
    assert [len(page) for page in pages[:1]] == [1]
    assert words(pages[1][1][1]) == "Steps"


def test_rows_of_a_table_go_on_under_their_header() -> None:
    header = Piece(20.0)
    table = Block((header, *(Piece(50.0) for _ in range(30))), 3, header, loose=True)
    pages = lay([Block((Piece(400.0),)), table], ROOM)
    assert [page[0][1] is header for page in pages] == [False, True, True]
    assert page_of(pages, table.pieces[1]) == 0


def test_a_table_does_not_begin_with_a_header_alone() -> None:
    header = Piece(20.0)
    table = Block((header, *(Piece(50.0) for _ in range(30))), 3, header, loose=True)
    pages = lay([Block((Piece(ROOM - 80),)), table], ROOM)
    assert len(pages[0]) == 1


@pytest.mark.parametrize("room", range(500, 800, 20))
def test_the_signatures_stand_with_the_customers_sheet(room: int) -> None:
    blocks = card_blocks(make_card(demo(), demo_plan("fit-tf-220"), ALWAYS), WIDTH)
    begin = next(n for n, b in enumerate(blocks) if "Hand-over" in map(words, b.pieces))
    pages = lay(blocks, room)
    pieces = [piece for block in blocks[begin:] for piece in block.pieces]
    assert "Signature" in " ".join(map(words, pieces))
    assert len({page_of(pages, piece) for piece in pieces}) == 1


@given(
    st.lists(st.lists(st.floats(1, 700), min_size=1, max_size=12), min_size=1, max_size=20),
    st.integers(1, 4),
    st.booleans(),
)
@settings(deadline=None)
def test_every_piece_is_laid_once_in_order(
    heights: list[list[float]], lead: int, loose: bool
) -> None:
    blocks = [Block(tuple(map(Piece, column)), lead, loose=loose) for column in heights]
    pages = lay(blocks, 700.0)
    placed = [piece for page in pages for _, piece in page]
    assert [id(p) for p in placed] == [id(p) for block in blocks for p in block.pieces]
    for page in pages:
        top, last = page[-1]
        assert top + last.height <= 700.001
    if not loose:
        for block in blocks:
            if block.height <= 700.0:
                assert len({page_of(pages, piece) for piece in block.pieces}) == 1


@given(st.text(max_size=300), st.floats(20, 400), st.booleans())
@settings(deadline=None)
def test_no_line_is_wider_than_its_room_and_no_word_is_lost(
    text: str, width: float, bold: bool
) -> None:
    lines = set_lines([(text, bold)], 9.0, width)
    for line in lines:
        assert sum(width_of(run, 9.0, heavy) for run, heavy in line) <= width + 0.02
    joined = "".join(run for line in lines for run, _ in line)
    kept = printable(text).replace("\n", "").replace(" ", "")
    assert joined.replace(" ", "") == kept


@pytest.mark.parametrize("word", ["DANGER", "WARNING", "CAUTION", "NOTICE"])
def test_graver_words_have_thicker_frames(word: str) -> None:
    block = signal_block(CardSignal(word, "Hot", ("Wait.",)), WIDTH)
    bars = [m for p in block.pieces for m in p.marks if isinstance(m, Box)]
    assert bars[0].filled == (word != "NOTICE")
