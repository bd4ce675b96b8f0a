"""Stages that differ from car to car on the site: each by itself, for scripts to leave out."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.site.head_html import readings_by_joint
from procedures_lib.fronts.site.order_figure import order_figure
from procedures_lib.fronts.site.step_html import step_after
from procedures_lib.language.entities.car import Fastener
from procedures_lib.view.step import step_view
from procedures_lib.view.uses import options_of
from tests.axle import NO_TORQUE, PAGE, axle_manual, axle_plan
from tests.site.building import INDEX, SmallManual

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture(scope="module")
def html(tmp_path_factory: pytest.TempPathFactory) -> str:
    built = SmallManual(
        tmp_path_factory.mktemp("axle"), pages={"index.md": INDEX, "axle.md": PAGE}
    ).build(fatal=True)
    assert (built.status, built.warnings) == (0, "")
    return built.page("axle")


def text_of(html: str) -> str:
    return unescape(re.sub(r"<[^>]+>", "", html)).replace("\u00a0", " ")


def for_cars(html: str) -> list[tuple[str, str]]:
    """What stands in a piece of a page for some cars only, with its cars."""
    found = re.findall(r'<span class="object" data-when="([^"]+)">(.*?)</span></span>', html)
    return [(when, text_of(inner)) for when, inner in found]


BY_CAR = [
    ("axle=long", "250 N·m (184 lbf·ft) only: axle=long"),
    ("axle=short", "120 N·m (89 lbf·ft), then +60° only: axle=short"),
]


def test_the_role_has_a_part_for_each_car(html: str) -> None:
    start = html.index("The nut takes")
    assert for_cars(html[start : html.index("the bolts", start)]) == BY_CAR


def test_the_definition_has_a_part_for_each_car(html: str) -> None:
    start = html.index('<tr id="definition-hub-nut"')
    row = html[start : html.index("</tr>", start)]
    assert for_cars(row) == BY_CAR
    assert '<span class="by-car">' in row
    assert '<span class="comma">; </span>' in row


def test_the_rows_of_a_joint_share_its_anchor(html: str) -> None:
    start = html.index('<tbody id="fastener-hub-nut">')
    body = html[start : html.index("</tbody>", start)]
    assert re.findall(r'<tr data-when="([^"]+)">', body) == ["axle=long", "axle=short"]
    assert html.count('id="fastener-hub-nut"') == 1
    assert '<tr id="fastener-flange-bolts">' in html


def test_the_step_has_an_action_for_each_car(html: str) -> None:
    start = html.index('<span class="verb">Tighten</span> <span class="object"')
    line = html[start : html.index('<div class="stages"', start)]
    assert text_of(line) == (
        "Tighten Hub nut: 250 N·m (184 lbf·ft) only: axle=long,"
        " Hub nut: 120 N·m (89 lbf·ft), then +60° only: axle=short"
    )


def test_second_looks_are_by_car(html: str) -> None:
    start = html.index("Re-checks due")
    listed = html[start : html.index("</ul>", start)]
    assert re.findall(r'<li data-when="([^"]+)">Hub nut', listed) == ["axle=long", "axle=short"]


def test_what_is_looked_at_has_room_for_a_tick(html: str) -> None:
    boxed = 'until 1 to 1 1/2 teeth show <span class="to-tick" aria-hidden="true">☐</span>'
    assert html.count(boxed) == 2  # in the torque table, and in the close-up


def test_a_stage_for_some_positions_has_a_drawing_of_its_own(html: str) -> None:
    captions = re.findall(r"<figcaption>(.*?)</figcaption>", html)
    assert [text_of(each).partition(". ")[0] for each in captions] == [
        "Flange bolts, stage 1: 10 N·m (89 lbf·in) (only top, bottom)",
        "Flange bolts, stages 2, 3 and 4: 50 % = 30 N·m (22 lbf·ft), then 60 N·m (44 lbf·ft),"
        " then stretch 0.12–0.18 mm (0.0048–0.0070 in)",
    ]
    assert all("Every bolt of a stage before the next stage begins." in each for each in captions)


def test_a_drawing_for_each_car() -> None:
    page = PAGE.replace("kind: nut\n  thread: M24", "kind: nut\n  order: [left]\n  thread: M24")
    scope = axle_manual(page).scope("page.md")
    nut = scope.of(Fastener, "hub-nut")
    assert nut is not None
    figure, told = order_figure(nut, "Hub nut")
    assert re.findall(r'<div data-when="([^"]+)">', figure) == ["axle=long", "axle=short"]
    assert "Hub nut (only axle=long): 250" in told


def readings(page: str) -> list[dict[str, object]]:
    """What the step asks to be read off, as the scripts take it."""
    plan = axle_plan(page)
    step = plan.steps[1]
    asked = readings_by_joint(step, plan)
    html = step_after(step_view(step, plan), options_of(plan), asked, lambda _: "")
    told = re.findall(r'data-readings="([^"]*)"', html)
    return [each for one in told for each in json.loads(unescape(one))]


def test_readings_are_asked_for_by_car() -> None:
    nut = [each for each in readings(PAGE) if each["joint"] == "hub-nut"]
    assert [(each["stage"], each["when"], each["unit"]) for each in nut] == [
        (1, "axle=long", "N·m"),
        (1, "axle=short", "N·m"),
        (2, "axle=short", "°"),
    ]
    stretch = next(each for each in readings(PAGE) if str(each["text"]).startswith("stretch"))
    assert (stretch["unit"], stretch["units"], stretch["angle"]) == ("mm", ["mm", "in"], False)
    assert not [each for each in readings(PAGE) if each["joint"] == "boot-clamp"]


def test_readings_of_a_step_for_some_cars() -> None:
    page = PAGE.replace("  - tighten hub-nut\n---", "  - tighten hub-nut\nwhen: axle=long\n---")
    nut = [each for each in readings(page) if each["joint"] == "hub-nut"]
    assert [(each["stage"], each["when"]) for each in nut] == [(1, "axle=long")]


def test_a_joint_without_torque_says_so(tmp_path: Path) -> None:
    pages = {"index.md": INDEX, "axle.md": NO_TORQUE}
    built = SmallManual(tmp_path, pages=pages).build()
    row = built.page("axle")
    start = row.index('<tr id="fastener-cap-screw">')
    assert "no torque given" in row[start : row.index("</tr>", start)]
