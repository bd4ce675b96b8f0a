"""Thread designations against ISO 261, ISO 965-1 and ASME B1.1 (rows in threads.csv)."""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import pytest

from procedures_lib.engineering.threads import Thread, ThreadError, read_thread
from procedures_lib.engineering.threads.designation import coarse_pitches, numbered_sizes

ROWS = list(csv.DictReader(Path(__file__).with_name("threads.csv").read_text("utf-8").splitlines()))
METRIC = [row for row in ROWS if row["pitch_mm"]]
INCH = [row for row in ROWS if row["threads_per_inch"]]


@pytest.mark.parametrize("row", METRIC, ids=lambda row: row["designation"])
def test_metric_threads(row: dict[str, str]) -> None:
    thread = read_thread(row["designation"])
    wanted = Thread("metric", Fraction(row["diameter_mm"]), Fraction(row["pitch_mm"]))
    assert thread == wanted
    assert read_thread(str(thread)) == thread


@pytest.mark.parametrize("row", INCH, ids=lambda row: row["designation"])
def test_inch_threads(row: dict[str, str]) -> None:
    thread = read_thread(row["designation"])
    inch = Fraction(254, 10)
    assert thread.family == "inch"
    assert thread.diameter == Fraction(row["diameter_in"]) * inch
    assert thread.pitch == inch / int(row["threads_per_inch"])
    assert read_thread(str(thread)) == thread


def test_the_librarys_coarse_pitches_are_those_of_the_reference() -> None:
    coarse = {row["designation"]: row for row in METRIC if "coarse" in row["source"]}
    assert len(coarse) == 8
    for row in coarse.values():
        assert coarse_pitches()[Fraction(row["diameter_mm"])] == Fraction(row["pitch_mm"])


def test_numbered_sizes_grow_by_thirteen_thousandths() -> None:
    # ASME B1.1: 0.060 in + 0.013 in a number.
    assert all(
        size == Fraction("0.060") + number * Fraction("0.013")
        for number, size in numbered_sizes().items()
    )


# ISO 965-1:2013, clause 5: M, diameter, x, pitch, and a tolerance class after a hyphen; a coarse
# thread may go without its pitch.
@pytest.mark.parametrize(
    "text",
    [
        "M6x1.0",
        "M6x1",
        "M6",
        "M6X1",
        "M6×1",
        "M6 x 1",
        "M 6",
        "M6-6g",
        "M6x1-6g",
        "M6 x 1 - 6H",
        " M6 ",
        '"M6"',
    ],
)
def test_ways_to_write_one_metric_thread(text: str) -> None:
    assert read_thread(text) == Thread("metric", Fraction(6), Fraction(1))


@pytest.mark.parametrize(
    "text", ["1/4-20", "1/4-20 UNC", "1/4-20UNC", "1/4 - 20 UNC", "1/4-20 UNC-2A", "1/4-20 UNC 2B"]
)
def test_ways_to_write_one_inch_thread(text: str) -> None:
    assert read_thread(text) == Thread("inch", Fraction("6.35"), Fraction("1.27"))


def test_sizes_above_an_inch() -> None:
    assert read_thread("1 1/8-7 UNC").diameter == Fraction("28.575")
    assert read_thread("1-1/8-7 UNC") == read_thread("1 1/8-7 UNC")
    assert str(read_thread("1 1/8-7 UNC")) == "1 1/8-7"


def test_coarse_and_fine_do_not_go_together() -> None:
    assert read_thread("M8") == read_thread("M8x1.25") != read_thread("M8x1")
    assert read_thread("1/4-20 UNC") != read_thread("1/4-28 UNF")
    assert read_thread("M6x1") != read_thread("1/4-20 UNC")


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("M6x10", "the coarse pitch of M6 is 1 mm"),
        ("M6x0", "the coarse pitch of M6 is 1 mm"),
        ("M6x2.5", "the coarse pitch of M6 is 1 mm"),
        ("M13", "write the pitch: `M13x…`"),
        ("M13x9", "look again"),
        ("M0x0", "look again"),
        ("M6x1,0", "write `M6x1.0`"),
        ("6x1.0", "write `M6x1.0`"),
        ("m6x1", "write `M6x1.0`"),
        ("1/4 UNC", "write `M6x1.0`"),
        ("10-32 UNF", "write diameter, dash, threads per inch"),
        ("#7-32", "write diameter, dash, threads per inch"),
        ("1/0-20", ""),
        ("1/4-0", "write diameter, dash, threads per inch"),
        ("1/4-2", "write diameter, dash, threads per inch"),
        ("99/4-20", "write diameter, dash, threads per inch"),
        ("", "write `M6x1.0`"),
        ("M" + "9" * 400, ""),
    ],
)
def test_what_is_no_thread(text: str, hint: str) -> None:
    with pytest.raises(ThreadError) as caught:
        read_thread(text)
    assert caught.value.message
    assert caught.value.hint.startswith(hint)


# ASME B1.1: threads per inch of UNC and UNF; ISO 261: pitches.
@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("1/4-21 UNC", "1/4 UNC has 20"),
        ("1/4-28 UNC", "1/4 UNC has 20; with 28 it is UNF"),
        ("1/4-20 UNF", "1/4 UNF has 28; with 20 it is UNC"),
        ("1/2-12 UNC", "1/2 UNC has 13"),
        ("3/8-18 UNRC", "3/8 UNC has 16"),
        ("#10-30 UNF", "#10 UNF has 32"),
        ("6-32 UNC", "a numbered size is written with its sign: `#6-32 UNC`"),
        ("4-40 UNC", "a numbered size is written with its sign: `#4-40 UNC`"),
        ("11/16-12 UNF", "there is no 11/16 UNF"),
        ("M8x1.1", "M8 has 1.25 or 1 or 0.75 mm"),
        ("M8x1.5", "M8 has 1.25 or 1 or 0.75 mm"),
        ("M10x1.75", "M10 has 1.5 or 1.25 or 1 or 0.75 mm"),
        ("M6x0.8", "M6 has 1 or 0.75 mm"),
        ("M14x1.75", "M14 has 2 or 1.5 or 1.25 or 1 mm"),
        ("M13x1.4", "the fine pitches are 6, 4, 3"),
    ],
)
def test_pitches_that_no_list_has(text: str, hint: str) -> None:
    with pytest.raises(ThreadError) as caught:
        read_thread(text)
    assert text.split("x", maxsplit=1)[0] in caught.value.message
    assert caught.value.hint.startswith(hint)


@pytest.mark.parametrize(
    "text",
    [
        "1/4-27 UNS",
        "1/4-32 UNEF",
        "1/4-21",
        "1/2-12 UN",
        "1-14 UNF",  # common practice: ASME B1.1 lists it as UNS
        "M14x1.25",
        "M11x1.25",
        "M8x0.5",  # finer than the list: ISO 261 leaves these pitches free
        "M12x0.75",
        "M13x1.5",
        "M42",
    ],
)
def test_threads_that_are_let_pass(text: str) -> None:
    assert read_thread(text)


@pytest.mark.parametrize("written", ["M10x1.25-LH", "M10x1.25 LH", "M10x1.25LH", "M10x1.25 lh"])
def test_the_mark_of_a_left_hand_thread_goes_into_a_field_of_its_own(written: str) -> None:
    """ISO 965-1 adds LH to the designation (from memory)."""
    with pytest.raises(ThreadError) as caught:
        read_thread(written)
    assert caught.value.hint == "write `M10x1.25`, and `turns: left`"
