"""The layout of a card: what must stay together stays together, on any sheet."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import pypdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf.generic import ContentStream

from procedures_lib.fronts.paper import SIZES, card_pdf
from procedures_lib.fronts.paper.card import Card, make_card
from procedures_lib.fronts.paper.card_lists import CardSignal, CardStep
from procedures_lib.fronts.paper.lettering import (
    TICK,
    Text,
    paragraph,
    printable,
    style,
    width_of,
)
from procedures_lib.language.variants import ALWAYS
from tests.demo import demo, demo_plan
from tests.paper.pdf_text import pages_of

DEMO = ["fit-bd-420", "fit-tf-220", "load-tf-100"]
HOT = CardSignal("WARNING", "Hot", ("Wait until it has cooled down.",))


@cache
def demo_card(name: str) -> Card:
    return make_card(demo(), demo_plan(name), ALWAYS)


@cache
def long_card() -> Card:
    """A card of many pages, without the pictures, which take the time."""
    card = demo_card("fit-tf-220")
    return replace(card, steps=tuple(replace(step, pictures=()) for step in card.steps))


@cache
def short_card() -> Card:
    """A card of few lines, to which a test adds."""
    card = demo_card("load-tf-100")
    return replace(card, signals=(), steps=(step_of(1),), supplies=(), after=(), drawings=())


def step_of(number: int, prose: int = 1, signals: tuple[CardSignal, ...] = (HOT,)) -> CardStep:
    return CardStep(number, "Do it", "", (), signals, (), ("Turn it a little. " * prose,))


def page_with(pages: list[str], text: str) -> int:
    [page] = (n for n, page in enumerate(pages) if text in page)
    return page


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DEMO)
def test_no_text_covers_another_or_leaves_the_page(name: str, size: str) -> None:
    for page in pypdfium2.PdfDocument(card_pdf(demo_card(name), size)):
        width, height = page.get_size()
        text = page.get_textpage()
        boxes = sorted(text.get_rect(n) for n in range(text.count_rects()))
        assert boxes
        for left, bottom, right, top in boxes:
            assert left >= 40
            assert right <= width - 40
            assert bottom >= 20
            assert top <= height - 30
        for n, (left, bottom, right, top) in enumerate(boxes):
            for other in boxes[n + 1 :]:
                across = min(right, other[2]) - max(left, other[0])
                down = min(top, other[3]) - max(bottom, other[1])
                assert min(across, down) < 0.5


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DEMO)
def test_no_step_of_the_demo_is_parted(name: str, size: str) -> None:
    card = demo_card(name)
    pages = pages_of(card_pdf(card, size))
    assert len(pages) > 1
    assert not any("(continued)" in page for page in pages)
    for step in card.steps:
        texts = [f"{step.number} {step.title}", *(" ".join(step.prose).split(". "))]
        whole = [page for page in pages if all(" ".join(text.split()) in page for text in texts)]
        assert len(whole) == 1, step.number


def test_a_step_longer_than_a_page_keeps_box_title_and_hazards_together() -> None:
    card = replace(short_card(), steps=(step_of(1, prose=60), step_of(7, prose=900)))
    pages = pages_of(card_pdf(card))
    page = page_with(pages, f"{TICK} 7 Do it WARNING Hot Wait until it has cooled down. Turn it")
    _, _, after = pages[page + 1].partition(card.head.title)
    assert after.startswith(" 7 (continued) ")


def test_what_goes_on_on_the_next_page_is_the_whole_step() -> None:
    pages = pages_of(card_pdf(replace(short_card(), steps=(step_of(7, prose=900),))))
    assert sum(page.count("7 (continued)") for page in pages) >= 1
    told = " ".join(re.sub(r"load-tf-100 · .*? of \d+|^.*7 \(continued\)", "", p) for p in pages)
    assert len(re.findall("Turn +it +a +little", told)) == 900


@pytest.mark.parametrize("lines", range(0, 60, 3))
def test_no_heading_and_no_header_stands_alone_at_the_foot(lines: int) -> None:
    card = replace(long_card(), supplies=tuple(f"supply {n}" for n in range(lines + 1)))
    pages = pages_of(card_pdf(card))
    for above, below in [
        ("Hazards", "DANGER Raised"),
        ("Kit check-in", f"Name Number Count Note {TICK} Charge-air cooler"),
        ("Tools", f"Tool For Steps {TICK} inspection lamp"),
        ("Supplies", f"Supply {TICK} supply 0"),
        ("Steps", f"{TICK} 1 Check the kit in"),
        ("Torques, and what was reached", "One row for each joint"),
        ("initials.", f"Joint Tighten to Step Reached Wrench By {TICK} Battery negative"),
        ("then 22 N·m (16 lbf·ft)", "1 hot lower"),
        ("Close-up", f"What must be tight Joint Count Tight at Steps {TICK} Battery"),
        ("Tests", f"Test Steps {TICK} Leaks"),
        ("Re-checks due", f"Re-check {TICK} Hot-side"),
        ("Hand-over", "Fitted Charge-air cooler kit"),
    ]:
        page_with(pages, f"{above} {below}")


def test_rows_of_a_table_go_on_under_their_header() -> None:
    names = [f"supply {n:03}" for n in range(200)]
    pages = pages_of(card_pdf(replace(short_card(), supplies=tuple(names))))
    filled = [page for page in pages if "supply 0" in page or "supply 1" in page]
    assert len(filled) >= 4
    for page in filled:
        assert re.search(rf"Supply {TICK} supply \d", page)
    assert re.findall(r"supply \d+", " ".join(pages)) == names


@pytest.mark.parametrize("room", range(500, 800, 20))
def test_the_signatures_stand_with_the_customers_sheet(
    room: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(SIZES, "cut", (595.0, room + 98.0))
    card = long_card()
    pages = pages_of(card_pdf(card, "cut"))
    sheet = pages[page_with(pages, "Hand-over ")]
    for label, text in card.handover:
        assert f"{label} {' '.join(text.split())}" in sheet
    assert re.search("Signed Name Signature Date Technician Checked by Customer", sheet)


TEXTS = st.lists(st.integers(1, 700), max_size=4)
STEPS = st.lists(st.tuples(st.integers(1, 40), TEXTS, TEXTS), max_size=6)


@given(STEPS, TEXTS, st.sampled_from(sorted(SIZES)))
@settings(max_examples=25)
def test_every_word_is_printed_once_in_order(
    steps: list[tuple[int, list[int], list[int]]], supplies: list[int], size: str
) -> None:
    count = iter(range(10**6))

    def words(length: int) -> str:
        return " ".join(f"w{next(count)}." for _ in range(length))

    supplied = tuple(map(words, supplies))
    done = tuple(
        CardStep(
            number=number,
            title=words(title),
            only="",
            facts=(),
            signals=tuple(CardSignal("CAUTION", words(n), (words(n),)) for n in warned),
            doings=(),
            prose=tuple(map(words, prose)),
        )
        for number, (title, warned, prose) in enumerate(steps, start=1)
    )
    pages = pages_of(card_pdf(replace(short_card(), supplies=supplied, steps=done), size))
    printed = re.findall(r"\bw(\d+)\.", " ".join(pages))
    assert printed == [str(n) for n in range(next(count))]


def lines_of(made: Text) -> list[list[tuple[str, float]]]:
    """The lines of a paragraph as signs with their sizes, without the blanks at their ends."""
    laid: Any = made.blPara  # type: ignore[attr-defined]
    if laid.kind == 0:
        lines = [[(sign, laid.fontSize) for sign in " ".join(words)] for _, words in laid.lines]
    else:
        lines = [[(sign, p.fontSize) for p in line.words for sign in p.text] for line in laid.lines]
    for line in lines:
        while line and line[-1][0].isspace():
            line.pop()
    return lines


@given(st.text(max_size=300), st.floats(20, 400), st.booleans())
def test_no_line_is_wider_than_its_room_and_no_word_is_lost(
    text: str, width: float, bold: bool
) -> None:
    made = paragraph([(text, bold)], style(9.0))
    made.wrap(width, 1000.0)
    lines = lines_of(made)
    for line in lines:
        assert sum(width_of(sign, size, bold) for sign, size in line) <= width + 1.0
    joined = "".join(sign for line in lines for sign, _ in line)
    assert re.sub(r"\s", "", joined) == re.sub(r"\s", "", printable(text))


@given(st.text(max_size=40), st.integers(0, 9999))
def test_a_torque_and_its_unit_are_never_parted(before: str, torque: int) -> None:
    made = paragraph(f"{before} wrench {torque} N·m, {torque} lbf·ft", style(9.0))
    made.wrap(60.0, 1000.0)
    lines = ["".join(sign for sign, _ in line) for line in lines_of(made)]
    assert not [line for line in lines if line.startswith(("N·m", "lbf·ft"))]


def test_any_unit_stays_with_its_number() -> None:
    assert printable("24 mm socket, 8 bolts") == "24\u00a0mm socket, 8 bolts"
    assert printable("2 minutes, 5 Nuts") == "2 minutes, 5 Nuts"


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DEMO)
def test_no_line_of_the_demo_begins_with_the_unit_of_a_torque(name: str, size: str) -> None:
    reader = pypdf.PdfReader(io.BytesIO(card_pdf(demo_card(name), size)))
    lines = [line for page in reader.pages for line in page.extract_text().splitlines()]
    assert any("N·m" in line for line in lines) or name == "load-tf-100"
    assert not [line for line in lines if re.match(r"\s*(N·m|lbf·)", line)]


def frame_of(word: str) -> tuple[float, bool]:
    """How thick the frame of a signal word is, and whether its bar is filled, as drawn."""
    card = replace(short_card(), signals=(CardSignal(word, "Hot", ("Wait.",)),), steps=())
    first = pypdf.PdfReader(io.BytesIO(card_pdf(card))).pages[0].get_contents()
    assert isinstance(first, ContentStream)
    thick, widest, bar = 0.0, 0.0, False
    for values, operator in first.operations:
        if operator == b"w":
            thick = float(values[0])
        elif operator == b"S":
            widest = max(widest, thick)
        elif operator == b"re":
            bar = bar or float(values[2]) > 500
    return widest, bar


def test_graver_words_have_thicker_frames() -> None:
    frames = {word: frame_of(word) for word in ("DANGER", "WARNING", "CAUTION", "NOTICE")}
    assert all(above > below for (above, _), (below, _) in pairwise(frames.values()))
    assert {word for word, (_, filled) in frames.items() if filled} == {*frames} - {"NOTICE"}
