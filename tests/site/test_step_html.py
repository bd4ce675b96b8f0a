"""A step's actions: which cars each is for, and which way a left-hand thread turns."""

from __future__ import annotations

import re

import pytest

from procedures_lib.fronts.site.head_html import readings_by_joint
from procedures_lib.fronts.site.step_html import step_after
from procedures_lib.language.entities.work import Procedure
from procedures_lib.view.step import step_view
from procedures_lib.view.uses import options_of
from tests.helpers import manual_from

PAGE = """
    ```{{vehicle}} car
    name: Car
    options:
      gearbox: [manual, automatic]
    ```
    ```{{parts}}
    cover: {{name: Cover}}
    lever: {{name: Lever, when: gearbox=manual}}
    ```
    ```{{fasteners}}
    nut: {{name: Nut, kind: nut, turns: left, tighten: 30 N·m, condition: dry, source: S}}
    ```
    ```{{procedure}} work
    vehicle: car
    revision: A
    ```
    :::{{step}} Do it
    :do: {do}
    {when}
    Do it.
    :::
    """


def actions(do: str, when: str = "") -> str:
    manual = manual_from({"page.md": PAGE.format(do=do, when=when and f":when: {when}")})
    (procedure,) = manual.heads(Procedure)
    plan = manual.plan(procedure)
    (step,) = plan.steps
    asked = readings_by_joint(step, plan)
    html = step_after(step_view(step, plan), options_of(plan), asked, lambda _: "")
    return re.sub(r"<[^>]+>", "", html).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("do", "when", "said"),
    [
        ("remove cover, lever", "", "Remove Cover, Lever only: gearbox=manual"),
        ("remove cover, lever", "gearbox=manual", "Remove Cover, Lever"),
        ("remove cover", "", "Remove Cover"),
    ],
)
def test_an_action_says_when_some_cars_of_its_step_lack_the_thing(
    do: str, when: str, said: str
) -> None:
    assert actions(do, when) == said


@pytest.mark.parametrize(
    ("do", "said"),
    [
        ("loosen nut", "Loosen Nut (left-hand thread: undo clockwise)"),
        ("remove nut", "Remove Nut (left-hand thread: undo clockwise)"),
        ("start nut", "Start Nut (left-hand thread: turn anticlockwise)"),
        (
            "tighten nut",
            "Tighten Nut (left-hand thread: turn anticlockwise): 30 N·m (22 lbf·ft)",
        ),
        ("inspect nut", "Inspect Nut"),
    ],
)
def test_a_left_hand_thread_says_which_way_it_turns(do: str, said: str) -> None:
    assert actions(do) == said
