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


FIELDS = """
    ```{{vehicle}} v
    name: V
    years: 2018-2022
    options: {{axle: [long, short]}}
    ```
    ```{{fasteners}}
    bolts:
      kind: bolt
      count: 4
      condition: dry
      head: hex 13 mm
      into: {{material: aluminium, engagement: 12 mm}}
      turns: left
      at: ride-height
      recheck: 100 km
      reuse: false
      reach: 150 mm extension
      tighten: 25 N·m
      source: Sheet 7
    castle: {{kind: nut, with: [bolts, pins], tighten: 40 N·m, source: Sheet 7}}
    pins: {{kind: cotter-pin, with: castle}}
    ```
    ```{{parts}}
    cooler: {{name: Cooler, mass: 14 kg, held-by: [bolts, castle], setting: 10–12 mm}}
    duct: {{name: Duct, on: cooler, behind: cooler}}
    ```
    ```{{connections}}
    plug: {{name: Plug, kind: plug, between: [cooler, harness], carries: power}}
    ```
    ```{{fluids}}
    oil: {{name: Oil, kind: oil, quantity: 2.1 L, spec: "75W-90, GL-5"}}
    ```
    ```{{kit}} k
    name: Kit
    fits: {{vehicle: v, years: 2018-2020}}
    contents:
      - {{part: cooler-2, number: K-01, replaces: cooler}}
      - {{supply: Cable tie, number: K-02, qty: 6}}
    returns: [cooler]
    needs: {{fuel: 93 AKI, calibration: {{manual: FC-1, automatic: FC-2}}}}
    claims: {{power: +21 hp, torque: +25 lbf·ft}}
    ```
    ```{{expect}} Sheet 7
    {row}
    ```
    """


@pytest.mark.parametrize(
    "row",
    [
        "bolts: condition dry, head hex 13 mm, engagement 12 mm, material Aluminium",
        "bolts: turns left, at ride-height, recheck 62 mi, new every time, 25 N·m",
        "bolts: reuse never, reach 150 mm extension",
        "bolts: {into: {engagement: 12.0 mm}, recheck: 100 km, reuse: false, tighten: 18 lbf·ft}",
        "castle: {with: [bolts, pins]}",
        "cooler: mass 31 lb, setting 0.4–0.47 in",
        "cooler: {held-by: [castle, bolts], mass: 14 kg}",
        "duct: on cooler, behind cooler",
        "plug: carries power",
        "plug: {between: [harness, cooler]}",
        'oil: {spec: "75w-90, gl-5", quantity: 2.2 US qt}',
        "v: years 2018-2022",
        "k: fuel 93 AKI, years 2018-2020, power +21 hp, torque +25 lbf·ft",
        "k: {needs: {fuel: 93 AKI}, calibration: {automatic: FC-2, manual: FC-1}, returns: cooler}",
        "k: {contents: {K-02: 6, K-01: 1}}",
    ],
)
def test_every_field_may_be_typed_a_second_time(row: str) -> None:
    assert slips_of(FIELDS.format(row=row), "expect-disagrees") == []
    assert reading(row) == []


def reading(row: str) -> list[str]:
    kinds = {"unknown-field", "wrong-shape", "wrong-kind", "unknown-id", "unreadable-block"}
    return [found.check for found in slips_of(FIELDS.format(row=row)) if found.check in kinds]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("bolts: condition oiled", "prints condition oiled, the block says dry"),
        ("bolts: recheck 100 mi", "prints recheck 100 mi, the block says 100 km"),
        ("bolts: turns right", "prints turns right, the block says left"),
        ("bolts: reuse true", "prints reuse true, the block says false"),
        ("bolts: head hex 12 mm", "the block says hex 13 mm"),
        ("bolts: engagement 16 mm", "prints engagement 16 mm, the block says 12 mm"),
        ("bolts: adapter 50 mm", "prints adapter 50 mm, the block has no adapter"),
        ("castle: {with: [pins, bolts]}", "prints with pins, bolts, the block says bolts, pins"),
        ("castle: at ride-height", "the block has no at"),
        ("cooler: mass 41 lb", "prints mass 41 lb, the block says 14 kg"),
        ("cooler: setting 0.4–0.5 in", "the block says 10–12 mm"),
        ("cooler: {held-by: [bolts]}", "prints held-by bolts, the block says bolts, castle"),
        ("duct: mass 2 kg", "the block has no mass"),
        ("plug: carries signal", "prints carries signal, the block says power"),
        ("oil: spec 75W-90 GL-4", "the block says 75W-90, GL-5"),
        ("v: years 2018-2023", "the block says 2018–2022"),
        ("k: fuel 91 AKI", "prints fuel 91 AKI, the block says 93 AKI"),
        ("k: fuel 98 RON", "prints fuel 98 RON, the block says 93 AKI"),
        ("k: power +12 hp", "the block says +21 hp"),
        ("k: {calibration: {manual: FC-1}}", "the block says manual: FC-1, automatic: FC-2"),
        ("k: {calibration: {manual: FC-2, automatic: FC-1}}", "the block says manual: FC-1"),
        ("k: {contents: {K-02: 4, K-01: 1}}", "the block says K-01: 1, K-02: 6"),
        ("k: {returns: duct}", "the block says cooler"),
    ],
)
def test_a_field_that_differs_is_found(row: str, said: str) -> None:
    (found,) = slips_of(FIELDS.format(row=row), "expect-disagrees")
    assert said in found.message.replace("\u00a0", " ")
    assert reading(row) == []


def test_each_field_that_differs_is_a_finding_on_its_line() -> None:
    row = "bolts:\n      condition: oiled\n      count: 4\n      recheck: 100 mi"
    found = slips_of(FIELDS.format(row=row), "expect-disagrees")
    assert [each.place.line for each in found] == [45, 47]


@pytest.mark.parametrize(
    ("row", "check", "said"),
    [
        ("bolts: {recheckk: 100 km}", "unknown-field", "did you mean `recheck`?"),
        ("bolts: mass 2 kg", "wrong-kind", "has `mass` of `bolts`, and a fastener has none"),
        ("oil: 10 N·m", "wrong-kind", "has stages of `oil`, and a fluid has none"),
        ("bolts: fuel 93 AKI", "wrong-kind", "a kit is wanted"),
        ("cooler: 10 N·m, mass 2 kg", "unknown-field", "`mass`, and stages"),
        ("gone-bolts: condition dry", "unknown-id", "`gone-bolts`"),
        ("bolts: recheck 100 N·m", "wrong-dimension", "100 N·m"),
        ("bolts: condition wet", "unknown-word", "`wet`"),
        ("bolts: count 4, count 5", "duplicate-key", "stands twice"),
        ("bolts: {tighten: 25 N·m, until: flush}", "wrong-shape", "stand twice"),
        ("bolts: {reuse: [a]}", "wrong-shape", "one value"),
        ("bolts: {says: [3 mm]}", "wrong-kind", "is a fastener"),
        ("no-step: {says: [3 mm]}", "unknown-id", "no step or thing"),
        ("k: {contents: [K-01]}", "wrong-shape", "a packing list"),
        ("k: {contents: {K-01: many}}", "out-of-range", "no count"),
    ],
)
def test_a_row_that_means_nothing_is_one_finding(row: str, check: str, said: str) -> None:
    found = [each for each in slips_of(FIELDS.format(row=row)) if each.place.line == 44]
    assert [each.check for each in found] == [check]
    assert said in found[0].message + found[0].hint


def test_a_row_twice_and_a_damaged_block_are_one_finding_each() -> None:
    twice = "bolts: count 4\n    bolts: count 4"
    assert [f.check for f in slips_of(FIELDS.format(row=twice)) if f.place.line > 43] == [
        "duplicate-key"
    ]
    damaged = FIELDS.replace("condition: dry", "condition: wet").format(row="bolts: condition dry")
    assert [f.check for f in slips_of(damaged) if "wet" in f.message + f.hint] == ["unknown-word"]
    assert slips_of(damaged, "expect-disagrees") == []


STEPS = """
    ```{{vehicle}} v
    name: V
    ```
    ```{{procedure}} p
    vehicle: v
    revision: A
    ```

    Clear {{q}}`2 m` around the car.

    ::::{{step}} Set it
    ---
    id: gap
    people: 2
    time: 10 min
    ---
    The gap is {{q}}`0.05 mm`, at {{q}}`3 bar`, and {{q}}`0.05 mm` again. {{rule}}`no-sparks`
    :::{{caution}} Hot
    Below {{q}}`60 °C`.
    :::
    ::::

    ```{{rule}} no-sparks
    ---
    about: [drain]
    ---
    An extinguisher within {{q}}`3 m`.
    ```
    ```{{expect}} Sheet 7
    {row}
    ```
    """


@pytest.mark.parametrize(
    "row",
    [
        "gap: {says: [0.05 mm, 3 bar, 60 °C]}",
        "gap: {says: [140 °F, 43.5 psi, 0.002 in], people: 2, time: 10 min}",
        "gap: people 2",
        "no-sparks: {says: 3 m}",
        "v: {says: 2 m}",
    ],
)
def test_the_amounts_of_a_text_agree(row: str) -> None:
    assert slips_of(STEPS.format(row=row)) == []


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("gap: {says: [0.06 mm, 3 bar, 60 °C]}", "prints 0.06 mm, which the text of the step"),
        ("gap: {says: [0.06 mm, 3 bar, 60 °C]}", "states 0.05 mm, which the row does not have"),
        ("gap: {says: [0.05 mm, 3 bar]}", "states 60 °C, which the row does not have"),
        ("gap: {says: [0.05 mm, 3 bar, 60 °C, 5 min]}", "prints 5 min"),
        ("gap: people 3", "prints people 3, the step says 2"),
        ("no-sparks: {says: 5 m}", "the text states 3 m"),
        ("v: {says: 3 m}", "the text states 2 m"),
    ],
)
def test_an_amount_that_a_text_states_otherwise(row: str, said: str) -> None:
    (found,) = slips_of(STEPS.format(row=row))
    assert found.check == "expect-disagrees"
    assert said in found.message.replace("\u00a0", " ")
