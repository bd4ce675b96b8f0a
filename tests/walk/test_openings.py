"""Openings: covered as soon as they are open, uncovered before they are closed.

That what is opened is covered against dirt is common practice (no source).
"""

from __future__ import annotations

import pytest

from tests.helpers import findings_of
from tests.walk.pages import checks, found, one

PIPE = """
```{parts}
pump: {name: Pump}
```
```{connections}
hose: {name: Hose, kind: hose, between: [body, engine]}
```
```{openings}
mouth: {name: Mouth, exposed-by: hose%s}
tank: {name: Tank, exposed-by: pump}
```
"""
CLEAN = PIPE % ""
OTHER = "inspect body"


def test_covered_and_uncovered() -> None:
    steps = "disconnect hose\ncover mouth", OTHER, OTHER, "uncover mouth\nconnect hose"
    assert checks(CLEAN, *steps) == []


@pytest.mark.parametrize(
    "steps",
    [
        ("disconnect hose", "cover mouth", OTHER, "uncover mouth", "connect hose"),
        ("disconnect hose\nconnect hose", OTHER),
        ("disconnect hose", "connect hose", OTHER),
        ("remove pump", "fit pump"),
        ("lift pump", OTHER, OTHER, "seat pump"),
    ],
)
def test_one_step_may_pass_between_opening_and_covering(steps: tuple[str, ...]) -> None:
    assert checks(CLEAN, *steps) == []


def test_open_while_work_goes_on() -> None:
    finding = one(CLEAN, "disconnect hose", OTHER, OTHER, "connect hose")
    assert finding.check == "uncovered-opening"
    assert "Mouth" in finding.message


def test_open_again_while_work_goes_on() -> None:
    steps = "disconnect hose\ncover mouth", "uncover mouth", OTHER, OTHER, "connect hose"
    assert checks(CLEAN, *steps) == ["uncovered-opening"]


def test_an_opening_that_minds_no_dirt() -> None:
    blocks = PIPE % ", dirt-sensitive: false"
    assert checks(blocks, "disconnect hose", OTHER, OTHER, "connect hose") == []


def test_left_open_for_good_is_one_finding() -> None:
    assert checks(CLEAN, "disconnect hose", OTHER, OTHER) == ["left-disconnected"]


def test_closed_over_the_cover() -> None:
    assert checks(CLEAN, "disconnect hose\ncover mouth", "connect hose") == ["fitted-over-cover"]
    assert checks(CLEAN, "remove pump\ncover tank", "fit pump") == ["fitted-over-cover"]


def test_a_cover_left_on_for_good() -> None:
    for_good = "disconnect hose\ncover mouth\ndiscard hose", OTHER
    assert checks(CLEAN, *for_good) == ["left-covered"]
    # What is left open is said of the hose; its cover is where it should be.
    assert checks(CLEAN, "disconnect hose\ncover mouth", OTHER) == ["left-disconnected"]


ALIKE = """
```{connections}
left-plug: {name: Left plug, kind: plug, between: [body, harness], alike: twins}
right-plug: {name: Right plug, kind: plug, between: [body, harness], alike: twins}
```
"""


@pytest.mark.parametrize(
    ("tagged", "expected"),
    [
        ("tag left-plug, right-plug", []),
        ("tag twins", []),
        ("tag left-plug", ["not-tagged"]),
        ("inspect body", ["not-tagged"]),
    ],
)
def test_look_alikes_are_tagged_before_the_second_is_opened(
    tagged: str, expected: list[str]
) -> None:
    opened = "disconnect left-plug\ndisconnect right-plug"
    assert checks(ALIKE, tagged, opened, "connect left-plug, right-plug") == expected
    one_by_one = (f"disconnect {side}-plug\nconnect {side}-plug" for side in ("left", "right"))
    assert checks(ALIKE, "inspect body", *one_by_one) == []


def test_the_tank_is_open_when_the_pump_is_off() -> None:
    steps = "remove pump", OTHER, OTHER, "fit pump"
    assert checks(CLEAN, *steps) == ["uncovered-opening"]


def test_covered_on_some_cars_only() -> None:
    steps = "disconnect hose", "cover mouth\n:when: gearbox=manual", OTHER
    last = "uncover mouth\n:when: gearbox=manual", "connect hose"
    assert found(CLEAN, *steps, *last) == [("uncovered-opening", "gearbox=automatic")]


def test_the_cover_stays_on_some_cars() -> None:
    steps = "disconnect hose\ncover mouth", "uncover mouth\n:when: gearbox=manual", "connect hose"
    assert found(CLEAN, *steps) == [("fitted-over-cover", "gearbox=automatic")]


def test_a_cover_stays_while_something_else_leaves_the_opening_exposed() -> None:
    page = """
    # Two hoses on one pipe

    ```{vehicle} hatch
    name: Small hatch
    ```

    ```{parts}
    pipe: {name: Pipe}
    ```

    ```{connections}
    inlet: {name: Inlet hose, kind: hose, between: [pipe, engine]}
    outlet: {name: Outlet hose, kind: hose, between: [pipe, body]}
    ```

    ```{openings}
    mouth: {name: Pipe mouth, exposed-by: [inlet, outlet]}
    ```

    ```{procedure} look-in
    vehicle: hatch
    revision: A
    ```

    :::{step} Look in
    ---
    do:
      - disconnect inlet, outlet
      - cover mouth
      - connect inlet
      - uncover mouth
      - connect outlet
    ---
    :::
    """
    assert findings_of(page) == []
    late = page.replace("- uncover mouth\n      - connect outlet", "- connect outlet")
    assert "fitted-over-cover" in {finding.check for finding in findings_of(late)}


def test_open_while_the_same_step_goes_on() -> None:
    blocks = """
```{parts}
lid: {name: Lid}
```
```{openings}
mouth: {name: Mouth, exposed-by: lid}
```
"""
    on = "fit lid"
    assert checks(blocks, "remove lid\ninspect seal", on) == []
    work = "clean flange\nmeasure depth\napply grease"
    assert checks(blocks, f"remove lid\n{work}", on) == ["uncovered-opening"]
    assert checks(blocks, f"remove lid\ncover mouth\n{work}", f"uncover mouth\n{on}") == []
