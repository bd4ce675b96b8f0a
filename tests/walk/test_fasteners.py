"""Fasteners: stages in order, the car's weight on its wheels, single use, loose and started.

One-way hardware (cotter pins, lock washers, crush washers, gaskets) is always new: common practice
(no source). Stages in order, each on all fasteners before the next: ASME PCC-1 on flange bolts.
"""

from __future__ import annotations

import pytest

from tests.walk.pages import checks, found, one

WHEEL = """
```{parts}
arm: {name: Arm, held-by: [arm-bolts, arm-pin]}
```
```{fasteners}
arm-bolts: {name: Arm bolts, kind: bolt, tighten: [20 N·m, +90°], condition: dry, source: S%s}
arm-pin: {name: Arm pin, kind: cotter-pin}
```
"""
ARM = WHEEL % ""
KIT = """
```{kit} kit
name: Kit
fits: {vehicle: car}
contents:
  - {fastener: new-pin, qty: 2, spare: 1, replaces: arm-pin}
```
```{fasteners}
new-pin: {name: New pin, kind: cotter-pin}
```
"""
HEAD = """
```{procedure} work
vehicle: car
kit: kit
revision: A
```
"""
OFF = "remove arm-pin, arm-bolts, arm\ndiscard arm-pin"
ON = "fit arm\nstart arm-bolts\ntighten arm-bolts stage 1\ntighten arm-bolts stage 2\nfit new-pin"


def with_kit(*steps: str, blocks: str = ARM) -> list[str]:
    return checks(blocks, *steps, kit=KIT, head=HEAD)


def test_stage_by_stage() -> None:
    assert with_kit(OFF, ON) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("tighten arm-bolts stage 1\n", ""),
        ("tighten arm-bolts stage 2\n", ""),
        ("stage 2", "stage 3"),
    ],
)
def test_a_stage_left_out(old: str, new: str) -> None:
    assert with_kit(OFF, ON.replace(old, new)) == ["stage-skipped"]


def test_a_stage_done_twice() -> None:
    assert with_kit(OFF, ON.replace("stage 2", "stage 1")) == ["nothing-to-undo"]
    assert with_kit(OFF, ON + "\ntighten arm-bolts") == ["nothing-to-undo"]


def test_the_rest_of_the_stages_in_one_go() -> None:
    assert with_kit(OFF, ON.replace("tighten arm-bolts stage 2", "tighten arm-bolts")) == []


def test_only_started() -> None:
    on = "fit arm\nstart arm-bolts\nfit new-pin"
    assert with_kit(OFF, on) == ["left-loose"]


def test_a_second_pull_with_the_wrench_does_no_harm() -> None:
    plain = ARM.replace("[20 N·m, +90°]", "20 N·m")
    on = "fit arm\ntighten arm-bolts\nfit new-pin"
    assert with_kit(OFF, on, "tighten arm-bolts", blocks=plain) == []


def test_the_old_cotter_pin_again() -> None:
    steps = OFF.replace("\ndiscard arm-pin", ""), ON.replace("fit new-pin", "fit arm-pin")
    finding = one(ARM, *steps)
    assert finding.check == "reused-single-use"
    assert "Arm pin" in finding.message


def test_an_old_pin_beside_the_new_one_in_the_box() -> None:
    steps = OFF.replace("\ndiscard arm-pin", ""), ON.replace("fit new-pin", "fit arm-pin")
    assert with_kit(*steps) == ["not-used", "reused-single-use"]


def test_a_pin_from_the_shops_own_stock() -> None:
    steps = OFF.replace("\ndiscard arm-pin", ""), ON.replace("fit new-pin", "fit arm-pin")
    assert checks(ARM, steps[0], steps[1] + "\n:supplies: [new Arm pin]") == []


def test_stretch_bolts_again() -> None:
    once = WHEEL % ", reuse: false"
    assert with_kit(OFF, ON, blocks=once) == ["reused-single-use"]


def test_a_pin_that_may_be_used_again() -> None:
    again = ARM.replace("kind: cotter-pin}", "kind: cotter-pin, reuse: true}")
    steps = OFF.replace("\ndiscard arm-pin", ""), ON.replace("fit new-pin", "fit arm-pin")
    assert checks(again, *steps) == []


HEIGHT = ARM.replace("source: S", "source: S, at: ride-height")
UP = "raise vehicle\n:tools: [axle stands]"


def test_rubber_bushes_are_tightened_at_ride_height() -> None:
    # Tightening a rubber bush in the air twists it: common practice (no source).
    last = "\ntighten arm-bolts stage 2"
    on = ON.replace(last, "")
    assert with_kit(UP, OFF, on, "lower vehicle", last, blocks=HEIGHT) == []
    assert with_kit(UP, OFF, ON, "lower vehicle", blocks=HEIGHT) == ["ride-height"]
    assert with_kit(UP, OFF, ON, blocks=HEIGHT) == ["left-raised"]


def test_a_clamp_needs_only_be_loose() -> None:
    blocks = """
    ```{connections}
    hose: {name: Hose, kind: hose, between: [body, engine], clamp: clamps}
    ```
    ```{fasteners}
    clamps: {name: Clamps, kind: clamp, tighten: 5 N·m, condition: dry, source: S}
    ```
    """
    assert checks(blocks, "loosen clamps\ndisconnect hose", "connect hose\ntighten clamps") == []
    assert checks(blocks, "loosen clamps\ndisconnect hose", "connect hose") == ["left-loose"]


def test_loosened_on_some_cars_only() -> None:
    steps = "loosen arm-bolts\n:when: gearbox=automatic", "inspect arm"
    assert found(ARM, *steps) == [("left-loose", "gearbox=automatic")]
    steps = "loosen arm-bolts", "tighten arm-bolts\n:when: gearbox=automatic"
    assert found(ARM, *steps) == [("left-loose", "gearbox=manual")]


def test_bolts_into_a_part_that_is_not_there() -> None:
    blocks = """
    ```{parts}
    bracket: {name: Bracket}
    caliper: {name: Caliper, held-by: bolts}
    ```
    ```{fasteners}
    bolts: {name: B, kind: bolt, tighten: 9 N·m, condition: dry, source: S, into: {part: bracket}}
    ```
    """
    off, on = "remove bolts, caliper\nremove bracket", "fit caliper\ntighten bolts"
    assert checks(blocks, off, "fit bracket", on) == []
    assert checks(blocks, off, on, "fit bracket") == ["tightened-too-early"]
    assert checks(blocks, off, on) == ["left-off"]


def test_a_battery_terminal_holds_nothing_and_is_tight_in_the_end() -> None:
    nut = "nut: {name: Nut, kind: nut, tighten: 6 N·m, condition: dry, source: S}"
    blocks = f"```{{fasteners}}\n{nut}\n```\n"
    assert checks(blocks, "loosen nut\nisolate battery", "restore battery") == ["left-loose"]
    assert checks(blocks, "loosen nut\nisolate battery", "tighten nut\nrestore battery") == []


@pytest.mark.parametrize(
    ("count", "said"),
    [
        ("count: 1", "Arm bolt (`arm-bolt`) is left loose"),
        ("count: 4", "Arm bolt (`arm-bolt`) are left loose"),
    ],
)
def test_of_several_it_is_said_that_they_are(count: str, said: str) -> None:
    blocks = f"""
    ```{{parts}}
    arm: {{name: Arm, held-by: arm-bolt}}
    ```
    ```{{fasteners}}
    arm-bolt: {{kind: bolt, {count}, tighten: [20 N·m], condition: dry, source: S}}
    ```
    """
    assert one(blocks, "loosen arm-bolt").message == said


BY_GEARBOX = """
```{parts}
arm: {name: Arm, held-by: arm-bolts}
```
```{fasteners}
arm-bolts:
  {name: Arm bolts, kind: bolt, condition: dry, source: S,
   tighten: {"gearbox=manual": [20 N·m, +90°], "gearbox=automatic": [30 N·m]}}
```
"""
ARM_OFF = "remove arm-bolts, arm"


def test_all_stages_are_those_of_each_car() -> None:
    assert checks(BY_GEARBOX, ARM_OFF, "fit arm\ntighten arm-bolts") == []


@pytest.mark.parametrize(
    ("last", "wanted"),
    [
        ("tighten arm-bolts stage 1", [("stage-skipped", "gearbox=manual")]),
        (
            "tighten arm-bolts stage 1\ntighten arm-bolts stage 2",
            [("nothing-to-undo", "gearbox=automatic")],
        ),
    ],
)
def test_stages_are_counted_by_car(last: str, wanted: list[tuple[str, str]]) -> None:
    assert found(BY_GEARBOX, ARM_OFF, f"fit arm\n{last}") == wanted


def test_the_second_stage_in_a_step_of_its_own_cars() -> None:
    steps = (
        ARM_OFF,
        "fit arm\ntighten arm-bolts stage 1",
        ":when: gearbox=manual\ntighten arm-bolts stage 2",
    )
    assert found(BY_GEARBOX, *steps) == []


def test_a_criterion_in_words_makes_a_joint_tight() -> None:
    words = BY_GEARBOX.replace("[20 N·m, +90°]", "{until: flush}").replace(
        "[30 N·m]", "{see: sheet 4}"
    )
    assert checks(words, ARM_OFF, "fit arm\ntighten arm-bolts") == []
    assert checks(words, ARM_OFF, "fit arm\nstart arm-bolts") == ["left-loose"]


def test_nothing_is_turned_in_where_nothing_lies_under_it() -> None:
    blocks = """
    ```{parts}
    cover: {name: Cover, held-by: cover-bolts}
    lid: {name: Lid, held-by: lid-clamp}
    ```
    ```{fasteners}
    cover-bolts: {name: Bolts, kind: bolt, tighten: [5 N·m, 9 N·m], condition: dry, source: S}
    lid-clamp: {name: Clamp, kind: clamp, tighten: 5 N·m, condition: dry, source: S}
    ```
    """
    off = "remove cover-bolts, cover"
    assert checks(blocks, off, "fit cover\nstart cover-bolts\ntighten cover-bolts") == []
    early = "start cover-bolts", "fit cover\ntighten cover-bolts"
    assert checks(blocks, off, *early) == ["tightened-too-early"]
    stages = "tighten cover-bolts stage 1", "fit cover\ntighten cover-bolts stage 2"
    assert checks(blocks, off, *stages) == ["tightened-too-early"]
    # Never fitted: that is said, and nothing of its bolts.
    assert checks(blocks, off, "start cover-bolts\ntighten cover-bolts") == ["left-off"]
    clamp = "remove lid-clamp, lid", "start lid-clamp", "fit lid\ntighten lid-clamp"
    assert checks(blocks, *clamp) == []
