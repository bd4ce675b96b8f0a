"""Double entry: a number typed again as its source prints it has to agree with the block."""

from __future__ import annotations

import pytest

from procedures_lib.findings import Finding
from tests.helpers import slips_of

PAGE = """
    ```{{vehicle}} v
    name: V
    ```
    ```{{procedure}} p
    vehicle: v
    revision: A
    ```
    ```{{fasteners}}
    bolts:
      kind: bolt
      count: 4
      positions: {{ll: [0, 0], lr: [9, 0], ul: [0, 9], ur: [9, 9]}}
      order: {order}
      tighten: {stages}
    ```
    ```{{fluids}}
    coolant: {{kind: coolant, quantity: {volume}}}
    ```
    ```{{expect}} Sheet 7
    {row}
    ```
    """


def after(
    row: str, stages: str = "[10 N·m]", order: str = "[ll, ur, lr, ul]", volume: str = "5.2 L"
) -> list[Finding]:
    page = PAGE.format(row=row, stages=stages, order=order, volume=volume)
    return [found for found in slips_of(page) if found.check != "unused-entity"]


# Pairs printed side by side in the trade (common practice), and their exact products of the
# factors of NIST SP 811, App. B.8: 10 N·m = 88.5 lbf·in, 24.4 N·m = 18.0 lbf·ft.
AGREE = [
    ("bolts: 10 N·m", "[10 N·m]"),
    ("bolts: 89 lbf·in", "[10 N·m]"),
    ("bolts: 88.5 lbf·in", "[10 N·m]"),
    ("bolts: 7.4 lbf·ft", "[10 N·m]"),
    ("bolts: 18 lbf·ft, +45°", "[24.4 N·m, +45°]"),
    ("bolts: 18 ft-lb, +1/8 turn", "[24.4 N·m, +45°]"),
    ("bolts: 89 lbf·in", "[snug, 10 N·m]"),
    ("bolts: snug, 89 lbf·in", "[snug, 10 N·m]"),
    ("bolts: [89 lbf·in, then +45°]", "[10 N·m, +45°]"),
    ("bolts: 98–115 lbf·in", "[12 ± 1 N·m]"),
    ("bolts: 106 lbf·in", "[12 ± 1 N·m]"),
    ("bolts: 50 N·m, next slot, at most 60 N·m", "[50 N·m, 'next slot, at most 60 N·m']"),
    ("bolts: 10 N·m, back off 180°, 5 N·m", "[10 N·m, back off 180°, 5 N·m]"),
    ("bolts: back off fully, drag 2.0–2.6 N·m", "[back off fully, drag 2.0–2.6 N·m]"),
    ("bolts: 10 N·m, order ll, ur, lr, ul", "[10 N·m]"),
    ("coolant: 5.5 US qt", "[10 N·m]"),
    ("coolant: 5.2 L", "[10 N·m]"),
]


@pytest.mark.parametrize(("row", "stages"), AGREE)
def test_agrees(row: str, stages: str) -> None:
    assert after(row, stages) == []


# The same rows after one slip in the block.
DISAGREE = [
    ("bolts: 10 N·m", "[11 N·m]"),
    ("bolts: 89 lbf·in", "[11 N·m]"),
    ("bolts: 89 lbf·in", "[9 N·m]"),
    ("bolts: 89 lbf·in", "[100 N·m]"),
    ("bolts: 89 lbf·ft", "[10 N·m]"),
    ("bolts: 18 lbf·ft, +45°", "[25.4 N·m, +45°]"),
    ("bolts: 19 lbf·ft, +45°", "[24.4 N·m, +45°]"),
    ("bolts: 18 lbf·ft, +45°", "[24.4 N·m, +54°]"),
    ("bolts: 18 lbf·ft, +45°", "[24.4 N·m, back off 45°]"),
    ("bolts: 18 lbf·ft, +45°", "[24.4 N·m]"),
    ("bolts: 18 lbf·ft", "[24.4 N·m, +45°]"),
    ("bolts: 10 N·m", "[]"),
    ("bolts: 98–115 lbf·in", "[12 N·m]"),
    ("bolts: 98–115 lbf·in", "[12 ± 2 N·m]"),
    ("bolts: drag 2.0–2.6 N·m", "[2.0–2.6 N·m]"),
    ("bolts: back off fully", "[back off 180°]"),
    ("bolts: 50 N·m, next slot, at most 60 N·m", "[50 N·m, 'next slot, at most 65 N·m']"),
    ("bolts: snug, 89 lbf·in", "[10 N·m]"),
]


@pytest.mark.parametrize(("row", "stages"), DISAGREE)
def test_one_slip_makes_the_row_fail(row: str, stages: str) -> None:
    (found,) = after(row, stages)
    assert (found.check, found.place.line) == ("expect-disagrees", 20)
    assert found.message.startswith("`bolts`: the source prints ")
    assert found.hint == "look at Sheet 7 and put right whichever is wrong"
    assert [place.line for place in found.related] == [9]


def test_the_message_shows_both_readings() -> None:
    (found,) = after("bolts: 89 lbf·in, +45°", "[11 N·m, +54°]")
    said = found.message.replace("\u00a0", " ")
    assert said == "`bolts`: the source prints 89 lbf·in, +45°, the block says 11 N·m, +54°"


@pytest.mark.parametrize("order", ["[ll, ur, ul, lr]", "[ul, ur, lr, ll]", "[ll, ur, lr]", "[]"])
def test_one_swap_in_the_order_makes_the_row_fail(order: str) -> None:
    (found,) = after("bolts: 10 N·m, order ll, ur, lr, ul", order=order)
    assert found.check == "expect-disagrees"
    assert "the source prints the order ll, ur, lr, ul" in found.message


def test_an_order_given_by_a_word_is_compared_as_it_runs() -> None:
    assert after("bolts: 10 N·m, order cross", order="cross") == []
    (found,) = after("bolts: 10 N·m, order ll, lr, ur, ul", order="cross")
    assert found.check == "expect-disagrees"


@pytest.mark.parametrize("volume", ["5.3 L", "52 L", "6.5 L"])
def test_an_amount_of_fluid_that_differs(volume: str) -> None:
    (found,) = after("coolant: 5.2 L", volume=volume)
    assert found.check == "expect-disagrees"
    said = found.message.replace("\u00a0", " ")
    assert said == f"`coolant`: the source prints 5.2 L, the block says {volume}"


def test_an_amount_for_a_fastener_and_a_torque_for_a_fluid() -> None:
    assert [found.check for found in after("bolts: 5.2 L")] == ["wrong-kind"]
    assert [found.check for found in after("coolant: 10 N·m")] == ["wrong-kind"]


HARDWARE = """
    ```{{vehicle}} v
    name: V
    ```
    ```{{fasteners}}
    bolts: {{kind: bolt, count: 4, thread: M8x1.25, class: "8.8", tighten: 25 N·m, source: Sheet 7}}
    clips: {{kind: clip, count: 3}}
    ```
    ```{{parts}}
    pads: {{name: Pads, count: 4}}
    ```
    ```{{expect}} Sheet 7
    {row}
    ```
    """


@pytest.mark.parametrize(
    "row",
    [
        "bolts: count 4",
        "bolts: thread M8, class 8.8",
        "bolts: count 4, thread M8x1.25, class 8.8, 18 lbf·ft",
        "bolts: 18 lbf·ft, count 4",
        "clips: count 3",
        "pads: count 4",
    ],
)
def test_hardware_that_a_source_prints_agrees(row: str) -> None:
    assert slips_of(HARDWARE.format(row=row)) == []


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("bolts: count 5", "prints count 5, the block says 4"),
        ("bolts: thread M8x1, 18 lbf·ft", "prints thread M8x1, the block says M8x1.25"),
        ("bolts: class 10.9", "prints class 10.9, the block says 8.8"),
        ("bolts: count 4, 25 lbf·ft", "prints 25"),
        ("clips: count 2", "prints count 2, the block says 3"),
        ("pads: count 2", "prints count 2, the block says 4"),
        ("clips: thread M5", "the block has no thread"),
    ],
)
def test_hardware_that_a_source_prints_otherwise(row: str, said: str) -> None:
    (found,) = slips_of(HARDWARE.format(row=row))
    assert found.check == "expect-disagrees"
    assert said in found.message.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("row", "check"),
    [
        ("bolts: count four", "out-of-range"),
        ("bolts: thread M8x9", "unknown-thread"),
        ("pads: count 4, 10 N·m", "wrong-kind"),
    ],
)
def test_hardware_that_cannot_be_read(row: str, check: str) -> None:
    assert [found.check for found in slips_of(HARDWARE.format(row=row))] == [check]
