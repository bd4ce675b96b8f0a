"""A joint: how it is judged, the tools for its head and stages, where it is worked."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.tightening import read_stage
from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual.shop import AngleGauge, Shop, TorqueWrench
from procedures_lib.view.joint import (
    gauge_for,
    joint_tools,
    joints,
    joints_of,
    socket_for,
    verdict_on,
    wrench_for,
)
from tests.helpers import entity_from
from tests.view.world import fastener_with, judged, uses, with_lengths


def test_a_verdict_has_its_figures_as_numbers() -> None:
    """Stress area and proof load: ISO 898-1, tables 4 and 5, print 36.6 mm² and 21 200 N."""
    verdict = verdict_on(judged())
    assert verdict is not None
    assert verdict.basis.thread.stress_area == pytest.approx(36.6, abs=0.05)
    assert verdict.basis.proof_load == pytest.approx(21_200, rel=0.005)
    assert not verdict.past_yield


@pytest.mark.parametrize(
    "changes",
    [{"kind": "clamp"}, {"class": "unknown"}, {"class": '"9.7"'}, {"tighten": "hand"}],
)
def test_what_can_not_be_judged_has_no_verdict(changes: dict[str, str]) -> None:
    assert verdict_on(judged(**changes)) is None


def test_lengths_are_taken_in_millimetres() -> None:
    (joint,) = joints_of(judged())
    assert joint is not None
    assert (joint.grip, joint.engagement, joint.material) == (25.4, 12.0, "aluminium")


def test_without_stages_there_is_no_joint() -> None:
    text = "```{fasteners}\nbolts: {kind: bolt, thread: M8, class: '8.8'}\n```"
    bare = entity_from(text, "bolts")
    assert isinstance(bare, Fastener)
    assert joints_of(bare) == ()


def test_joints_stand_in_the_order_of_their_first_step_with_where_they_are_worked() -> None:
    """Clips, and fasteners that are only taken out, are no joints."""
    assert [(j.id, j.steps, j.tight_steps, j.from_kit) for j in joints(uses())] == [
        ("sensor-screws", (2,), (2,), False),
        ("big-bolts", (2, 4), (4,), True),
        ("spacer-bolts", (3,), (3,), False),
    ]


def test_a_joint_is_on_the_cars_that_have_it_and_its_steps() -> None:
    assert [str(j.when) for j in joints(uses())] == ["", "", "transmission=automatic"]
    assert [j.id for j in joints(uses("transmission=manual"))] == ["sensor-screws", "big-bolts"]


@pytest.mark.parametrize(
    ("head", "tool"),
    [
        ("hex 10 mm", "10 mm socket"),
        ("hex 1/2 in", "1/2 in socket"),
        ("socket hex 6 mm", "6 mm hex-key bit"),
        ("12-point 14 mm", "14 mm 12-point socket"),
        ("square 8 mm", "8 mm square socket"),
        ("torx T30", "T30 bit"),
        ("Torx T30", "T30 bit"),
        ("e-torx E12", "E12 socket"),
        ("phillips PH2", "phillips PH2 screwdriver"),
        ("slotted", "slotted screwdriver"),
        ("11 mm flare-nut crowfoot", "11 mm flare-nut crowfoot"),
        (" hex 10 mm ", "10 mm socket"),
    ],
)
def test_the_tool_for_a_head(head: str, tool: str) -> None:
    assert socket_for(head) == tool


@pytest.mark.parametrize(
    ("stage", "wrench"),
    [
        ("2 N·m", "small"),
        ("6 N·m", "small"),  # middle of 2–10, near the foot of 5–25
        ("10 N·m", "middle"),  # a quarter of 5–25, the very end of 2–10
        ("22 N·m", "middle"),  # near the top of 5–25, but nearer the very foot of 20–100
        ("25 N·m", "large"),
        ("60 N·m", "large"),
        ("9–11 N·m", "middle"),  # does not fit on 2–10 as a whole
        ("next slot, at most 60 N·m", "large"),
        ("89 lbf·in", "middle"),
        ("101 N·m", None),
        ("1 N·m", None),
        ("95–105 N·m", None),
        ("+45°", None),
        ("snug", None),
        ("back off 180°", None),
    ],
)
def test_the_wrench_on_whose_scale_the_torque_lies_nearest_the_middle(
    shop: Shop, stage: str, wrench: str | None
) -> None:
    found = wrench_for(read_stage(stage), shop)
    assert (found.id if found else None) == wrench


def test_drag_is_read_on_a_wrench_that_shows_it(shop: Shop) -> None:
    dial = TorqueWrench.model_validate(
        {"id": "dial", "name": "Dial", "range": "0.5–5 N·m", "deviation-class": "I B"}
    )
    drag = read_stage("drag 2.0–2.6 N·m")
    assert wrench_for(drag, shop) is None
    with_dial = shop.model_copy(update={"torque_wrenches": (*shop.torque_wrenches, dial)})
    assert wrench_for(drag, with_dial) == dial
    assert wrench_for(read_stage("3 N·m"), with_dial) != dial


def test_each_tool_knows_the_stage_that_asks_for_it(shop: Shop) -> None:
    staged = fastener_with(tighten="[snug, 6 N·m, +45°, 7 N·m]", head="hex 13 mm", reach="bar")
    tools = joint_tools(staged, shop)
    assert [(tool.name.replace("\u00a0", " "), tool.stage) for tool in tools] == [
        ("13 mm socket", 0),
        ("bar", 0),
        ("Wrench 2–10 N·m", 2),
        ("angle gauge", 3),
        ("Wrench 2–10 N·m", 4),
    ]
    assert [tool.stage for tool in tools if tool.fit] == [2, 4]


def test_an_adapter_asks_for_a_length_and_gives_a_setting(shop: Shop) -> None:
    crow_foot = fastener_with(tighten="16 N·m", adapter="40 mm", head="11 mm crow-foot")
    socket, wrench = joint_tools(crow_foot, with_lengths(shop))
    assert [socket.name, wrench.name] == ["11 mm crow-foot", "Wrench 5–25 N·m"]
    assert wrench.fit is not None
    assert wrench.fit.setting == pytest.approx(16 * 300 / (300 + 40))
    assert [tool.fit for tool in joint_tools(crow_foot, shop)] == [None, None], "no length is known"


def gauge(name: str, **fields: str) -> AngleGauge:
    return AngleGauge.model_validate({"id": name, "name": name, **fields})


def test_the_gauge_reaches_the_angle_and_goes_on_the_wrenchs_drive() -> None:
    half = gauge("half", drive="1/2 in", range="0–360°")
    small = gauge("small", drive="3/8 in", range="0–90 deg")
    shop = Shop(angle_gauges=(half, small))
    assert gauge_for(read_stage("+45°"), shop, "3/8 in") == small
    assert gauge_for(read_stage("+180°"), shop, "3/8 in") == half
    assert gauge_for(read_stage("+45°"), shop) == half
    assert gauge_for(read_stage("+400°"), shop) is None
    assert gauge_for(read_stage("45 N·m"), shop) is None
    assert gauge_for(read_stage("+720°"), Shop(angle_gauges=(gauge("any"),))) is not None
