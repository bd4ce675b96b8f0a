"""What a step speaks of against what it does, and facts that can't be."""

from __future__ import annotations

import pytest

from tests.helpers import findings_of

PAGE = """# Work
```{{vehicle}} car
name: Car
years: 2018-2022
fixed: [body, engine]
```
```{{parts}}
hub: {{name: Hub, held-by: hub-bolts}}
arm: {{name: Arm, held-by: arm-bolts}}
```
{more}
```{{fasteners}}
hub-bolts: {{name: Hub bolts, kind: bolt, count: 4, thread: M12x1.5, class: "10.9", head: hex 17 mm,
  condition: dry, tighten: 70 N·m, source: S{hub}}}
arm-bolts: {{name: Arm bolts, kind: bolt, count: 4, thread: M10x1.5, class: "10.9", head: hex 16 mm,
  condition: dry, tighten: 55 N·m, source: S}}
```
```{{procedure}} work
vehicle: car
revision: A
```
:::{{step}} Do it
---
do:
{do}
{options}---
{prose}
:::
"""
TURN = "  - remove hub-bolts, hub\n  - fit hub\n  - tighten hub-bolts"


def checks(
    prose: str = "{torque}`hub-bolts`.", do: str = TURN, options: str = "", more: str = "",
    hub: str = "",
) -> list[str]:  # fmt: skip
    page = PAGE.format(prose=prose, do=do, options=options, more=more, hub=hub)
    return [finding.check for finding in findings_of(page)]


def test_a_torque_of_another_joint() -> None:
    assert checks() == []
    assert checks("{torque}`arm-bolts`.") == ["foreign-joint"]
    assert checks("Not as tight as {fastener}`arm-bolts`.") == []
    assert checks("As in {torque}`arm-bolts`.", do="  - inspect hub") == []


@pytest.mark.parametrize(
    ("prose", "options", "hub", "expected"),
    [
        ("One of you holds it.", "", "", ["prose-disagrees"]),
        ("Best done by two people.", "", "", ["prose-disagrees"]),
        ("One of you holds it.", "people: 2\n", "", []),
        ("One of the bolts holds it.", "", "", []),
        ("They have a left-hand thread.", "", "", ["prose-disagrees"]),
        ("They have a left-hand thread.", "", ", turns: left", []),
        ("They come out clockwise.", "", "", ["prose-disagrees"]),
        ("They come out clockwise.", "", ", turns: left", []),
        ("Turn the dial clockwise.", "", "", []),
        ("All four of them.", "", ", turns: left", ["prose-disagrees"]),
        ("", "", ", turns: left", []),
        ("They are used once only.", "", "", ["prose-disagrees"]),
        ("They are used once only.", "", ", reuse: false", ["reused-single-use"]),
        ("A clip that is bent does not go on again.", "", "", []),
        ("The left-hand bolts first.", "", "", []),
    ],
)
def test_words_that_the_facts_do_not_have(
    prose: str, options: str, hub: str, expected: list[str]
) -> None:
    assert checks(prose, options=options, hub=hub) == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("brake-hose: {name: Hose, kind: hose, between: [body, engine]}", ["carries-missing"]),
        ("supply: {name: Fuel line, kind: line, between: [body, engine]}", ["carries-missing"]),
        ("filler: {name: Fuel filler pipe, kind: pipe, between: [body, engine]}", []),
        ("vapour: {name: Fuel vapour hose, kind: hose, between: [body, engine]}", []),
        ("brake-plug: {name: Brake plug, kind: plug, between: [body, engine]}", []),
    ],
)
def test_a_line_called_after_what_runs_in_it(line: str, expected: list[str]) -> None:
    assert checks(more=f"```{{connections}}\n{line}\n```") == expected


def test_a_thread_engaged_over_more_than_there_can_be() -> None:
    # 1 to 2.5 diameters are usual: Shigley's Mechanical Engineering Design, from memory.
    steel = ", into: {material: steel, engagement: %s}"
    assert checks(hub=steel % "24 mm") == []
    assert checks(hub=steel % "24 in") == ["out-of-range"]


@pytest.mark.parametrize(
    ("years", "expected"), [("2018-2022", []), ("2019", []), ("2018-2023", ["out-of-range"])]
)
def test_a_kit_for_years_that_the_car_does_not_have(years: str, expected: list[str]) -> None:
    kit = f"""```{{kit}} k
name: Kit
fits: {{vehicle: car, years: {years}}}
contents:
  - {{paper: Card}}
```"""
    assert checks(more=kit) == expected


@pytest.mark.parametrize(
    ("prose", "expected"),
    [
        ("<<<<<<< mine\nOld.\n=======\nNew.\n>>>>>>> theirs", ["merge-mark"]),
        ("All of it.\n>>>>>>> torques", ["merge-mark"]),
        ("All of it.\n\n=======\n", ["merge-mark"]),
        ("Some of it,\nand the rest.\n=======\n", ["merge-mark"]),
        ("All of it.\n=======", ["merge-mark"]),
        ("||||||| 12ab34c\nAs it was.", ["merge-mark"]),
        ("|||||||", []),
        ("```text\nHeading\n=======\n```", []),
        ("> > A quotation in a quotation", []),
        ("A << B, C >> D", []),
    ],
)
def test_marks_of_a_merge(prose: str, expected: list[str]) -> None:
    assert checks(prose) == expected


@pytest.mark.parametrize(
    ("prose", "hub", "told"),
    [
        ("Start them by hand, anticlockwise.", ", turns: left", False),
        ("Start them by hand, clockwise.", ", turns: left", True),
        ("They come out clockwise.", ", turns: left", False),
        ("They come out anticlockwise.", ", turns: left", True),
        ("A left-hand thread: it goes in counterclockwise.", ", turns: left", False),
        ("Start them by hand, clockwise.", "", False),
        ("Tighten them crosswise. Seen from below, clockwise.", "", False),
        ("They tighten anticlockwise.", "", True),
    ],
)
def test_the_way_a_thread_turns(prose: str, hub: str, told: bool) -> None:
    """Right-hand threads go in clockwise: common practice, no source."""
    assert ("prose-disagrees" in checks(prose, hub=hub)) is told
