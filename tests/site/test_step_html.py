"""A step's actions: which cars each is for, and which way a left-hand thread turns."""

from __future__ import annotations

import re

import pytest

from procedures_lib.fronts.site.head_html import readings_by_joint
from procedures_lib.fronts.site.step_html import step_after
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual.shop import Shop
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
    bolts:
      name: Bolts
      kind: bolt
      count: 4
      head: hex 13 mm
      reach: 150 mm extension
      condition: dry
      tighten: [hand, 10–12 N·m, +45°]
      source: S
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
    return re.sub(r"<[^>]+>", "", html_of(do, when)).replace("\u00a0", " ")


def html_of(do: str, when: str = "", shop: Shop | None = None) -> str:
    manual = manual_from({"page.md": PAGE.format(do=do, when=when and f":when: {when}")})
    (procedure,) = manual.heads(Procedure)
    plan = manual.plan(procedure)
    (step,) = plan.steps
    asked = readings_by_joint(step, plan)
    return step_after(step_view(step, plan), options_of(plan), asked, lambda _: "", shop=shop)


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


SHOP = Shop.model_validate(
    {
        "name": "S",
        "torque_wrenches": [
            {"id": "click", "name": "Click 25", "range": "5–25 N·m", "deviation-class": "II A"},
            {"id": "inch", "name": "Inch 200", "range": "40–200 lbf·in", "length": "240 mm"},
        ],
        "angle_gauges": [{"id": "gauge", "name": "Gauge", "range": "0–360°"}],
    }
)


def test_each_stage_stands_with_its_figure_its_tools_and_the_setting() -> None:
    """11 N·m, in the middle, is 97.4 lbf·in (1 N·m is 8.8507 lbf·in, NIST SP 811)."""
    html = html_of("tighten bolts", shop=SHOP).replace("\u00a0", " ")
    stages = re.findall(r'<li class="stage" data-stage="(\d)">(.*?)</li>', html)
    assert [number for number, _ in stages] == ["1", "2", "3"]
    texts = [re.sub(r"<[^>]+>", "|", told) for _, told in stages]
    assert [re.sub(r"\|[| ]*", "|", text) for text in texts] == [
        "|hand|13 mm socket|150 mm extension|",
        "|10–12 N·m|89–106 lbf·in|13 mm socket|150 mm extension|Click 25|set 11 N·m (97.4 lbf·in)|",
        "|+45°|13 mm socket|150 mm extension|Gauge|",
    ]
    assert 'data-lbf-in="89–106 lbf·in">10–12 N·m<' in html
    assert 'data-lbf-in="10–12 N·m">89–106 lbf·in<' in html
    assert "Every bolt through stage 1 before stage 2, and so on." in html


def test_one_stage_alone_and_what_is_not_tightened() -> None:
    assert re.findall(r'data-stage="(\d)"', html_of("tighten bolts stage 2", shop=SHOP)) == ["2"]
    assert 'class="stage"' not in html_of("loosen bolts", shop=SHOP)
    assert 'class="stage"' not in html_of("tighten bolts")
