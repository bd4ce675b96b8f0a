"""Orders that go round or run from one end, as a page gives them; positions that can't be drawn."""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import pytest

from procedures_lib.findings import Finding, Level
from tests.helpers import findings_of

PAGE = """
    ```{{vehicle}} v
    name: V
    ```
    ```{{fasteners}}
    bolts:
      kind: {kind}
      count: {count}
      positions: {{{positions}}}
      order: {order}
      tighten: {stages}
      thread: M8x1.25
      class: "8.8"
      condition: dry
      source: sheet
    ```
    """
PASSES = Path(__file__).parents[1] / "tightening" / "tightening_passes.csv"
ROUND, CROSS = "[a, b, c, d, e, f]", "[a, d, b, e, c, f]"
HEXAGON = ", ".join(
    f"{name}: [{80 * math.sin(n * math.pi / 3):.1f}, {80 * math.cos(n * math.pi / 3):.1f}]"
    for n, name in enumerate("abcdef")
)
ROW = ", ".join(f"{name}: [{60 * n}, 0]" for n, name in enumerate("abcdef"))


def after(
    order: str,
    stages: str = "[hand, 10 N·m, 25 N·m]",
    positions: str = HEXAGON,
    count: int = 6,
    kind: str = "bolt",
) -> list[Finding]:
    return findings_of(
        PAGE.format(order=order, stages=stages, positions=positions, count=count, kind=kind)
    )


def test_round_a_circle() -> None:
    (found,) = after(ROUND)
    assert (found.check, found.level, found.place.line) == ("order-not-cross", Level.WARNING, 9)
    assert found.message == (
        "the order of `bolts` goes round the circle, each fastener after its neighbour"
    )
    assert found.hint == (
        "work across the middle: `order: [a, d, c, f, b, e]`, or `order: cross`,"
        " unless the source prints this order"
    )


def test_along_a_row_from_one_end() -> None:
    (found,) = after(ROUND, positions=ROW)
    assert (found.check, found.level) == ("order-not-centre-out", Level.WARNING)
    assert found.message == "the order of `bolts` runs from one end to the other"
    assert "`order: centre-out`" in found.hint


@pytest.mark.parametrize("order", [CROSS, "cross", "centre-out"])
@pytest.mark.parametrize("positions", [HEXAGON, ROW])
def test_good_orders_and_the_words_pass(order: str, positions: str) -> None:
    assert after(order, positions=positions) == []


def passes() -> str:
    """The passes of ASME PCC-1 for 24 N·m as stages, each with the order of its pattern."""
    stages = []
    for line in csv.DictReader(PASSES.read_text("utf-8").splitlines()):
        percents = re.fullmatch(r"(\d+)(?:-(\d+))?", line["percent_of_target"])
        if percents is not None:
            ends = [int(end) for end in percents.groups() if end]
            order = ROUND if line["pattern"].startswith("circular") else CROSS
            stages.append(f"{{stage: {0.24 * sum(ends) / len(ends):.1f} N·m, order: {order}}}")
    return f"[hand, {', '.join(stages)}]"


def test_the_passes_of_the_standard_end_with_going_round() -> None:
    # ASME PCC-1, legacy table of rounds: tests/tightening/tightening_passes.csv
    assert passes().count(CROSS) == 3
    assert passes().count(ROUND) == 2
    assert after(CROSS, passes()) == []
    assert [found.check for found in after(CROSS, passes().replace(CROSS, ROUND))] == [
        "order-not-cross"
    ] * 3


@pytest.mark.parametrize(
    "stages",
    [
        f"[{{stage: hand, order: {ROUND}}}, 10 N·m]",
        f"[{{stage: snug, order: {ROUND}}}, 10 N·m, +45°]",
        f"[10 N·m, 25 N·m, {{stage: 25 N·m, order: {ROUND}}}]",
        f"[25 N·m, {{stage: back off fully, order: {ROUND}}}, 10 N·m]",
    ],
)
def test_stages_that_bring_no_load_go_as_they_like(stages: str) -> None:
    # A last pass that goes round at the torque reached: ASME PCC-1, the round after the third;
    # tests/tightening/tightening_passes.csv.
    assert after(CROSS, stages) == []


def test_hand_tightening_goes_round_by_the_groups_order() -> None:
    stages = f"[hand, {{stage: 10 N·m, order: {CROSS}}}, {{stage: 25 N·m, order: cross}}]"
    assert after(ROUND, stages) == []


@pytest.mark.parametrize("stage", ["25 N·m", "+45°", "20 N·m", "10.1 N·m"])
def test_a_stage_that_brings_load_is_judged_by_itself(stage: str) -> None:
    (found,) = after(CROSS, f"[10 N·m, {{stage: {stage}, order: {ROUND}}}]")
    assert (found.check, found.place.line) == ("order-not-cross", 5)
    assert found.message.startswith("the order of stage 2 of `bolts` goes round")


def test_after_backing_off_the_same_torque_brings_load_again() -> None:
    stages = f"[25 N·m, back off fully, {{stage: 25 N·m, order: {ROUND}}}]"
    assert [found.check for found in after(CROSS, stages)] == ["order-not-cross"]


def test_an_order_without_stages_is_judged_too() -> None:
    text = PAGE.replace("tighten: {stages}", "head: hex 10 mm").format(
        order=ROUND, positions=HEXAGON, count=6, kind="bolt", stages=""
    )
    assert [found.check for found in findings_of(text)] == ["order-not-cross"]


def test_clips_are_not_judged() -> None:
    assert after(ROUND, "[hand]", kind="clip") == []
    assert after(ROUND, "[hand]") == []


def test_an_order_that_is_not_whole_is_one_finding() -> None:
    assert [found.check for found in after("[a, b, c, d, e]")] == ["order-incomplete"]


def test_two_fasteners_at_one_place() -> None:
    twice = HEXAGON.replace("b: [69.3, 40.0]", "b: [0.0, 80.0]")
    (found,) = after(CROSS, positions=twice)
    assert (found.check, found.level) == ("same-position", Level.ERROR)
    assert found.message == "`bolts` has `a` and `b` at one place"
    assert "in mm" in found.hint


def test_two_hundred_bolts_are_judged_and_the_hint_stays_short() -> None:
    names = [f"n{n}" for n in range(200)]
    turns = {name: n * math.pi / 100 for n, name in enumerate(names)}
    places = ", ".join(
        f"{name}: [{400 * math.sin(turn):.2f}, {400 * math.cos(turn):.2f}]"
        for name, turn in turns.items()
    )
    (found,) = after(f"[{', '.join(names)}]", positions=places, count=200)
    assert found.check == "order-not-cross"
    assert found.hint.startswith("work across the middle: `order: cross`")


DRAWING = """
    # Fit

    ```{{vehicle}} v
    name: V
    ```

    ```{{fasteners}}
    bolts: {{kind: bolt, count: 4, {more}}}
    ```

    ```{{order-drawing}} bolts
    ```
    """


@pytest.mark.parametrize("more", ["order: cross", "order: [a, b, c, d]", "thread: M8x1.25"])
def test_a_drawing_of_fasteners_without_positions(more: str) -> None:
    (found,) = findings_of(DRAWING.format(more=more))
    assert (found.check, found.level, found.place.line) == ("no-positions", Level.WARNING, 11)
    assert found.message == "`bolts` has no positions to draw"
    assert [place.line for place in found.related] == [8]


def test_a_drawing_with_positions_passes() -> None:
    square = "positions: {a: [0, 9], b: [9, 9], c: [9, 0], d: [0, 0]}, order: cross"
    assert findings_of(DRAWING.format(more=square)) == []


def test_the_word_cross_without_positions_is_an_instruction_like_another() -> None:
    text = DRAWING.format(more="order: cross").replace("```{order-drawing} bolts\n    ```\n", "")
    assert findings_of(text) == []
