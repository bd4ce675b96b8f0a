"""The tool list: sockets from heads, reaches, wrenches from stages."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.tightening import read_stage
from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual.shop import AngleGauge, Shop, TorqueWrench
from procedures_lib.view.joint import (
    gauge_for,
    joints,
    socket_for,
    tool_text,
    tools_for,
    wrench_for,
    wrench_rows,
)
from procedures_lib.view.preparation import tool_list
from tests.helpers import entity_from
from tests.tables.world import record, uses


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


def test_the_tool_list(shop: Shop) -> None:
    assert [(r["tool"], r["use"], r["steps"]) for r in tool_list(uses(), shop).records()] == [
        ("trim lever", "", "1, 4"),
        ("T25 bit", "Sensor screws", "1, 2"),
        ("10 mm socket", "Cooler bolts, Spacer bolts", "1, 3"),
        ("13 mm socket", "Big bolts", "2, 4"),
        ("150 mm extension", "Big bolts", "2, 4"),
        ("Wrench 2–10 N·m", "Sensor screws", "2"),
        ("Wrench 5–25 N·m", "Spacer bolts, Big bolts", "3, 4"),
        ("angle gauge", "Big bolts", "4"),
    ]


def test_the_shops_gauge_has_its_name(shop: Shop) -> None:
    gauge = AngleGauge.model_validate({"id": "gauge", "name": "Half-inch gauge"})
    names = [
        r["tool"]
        for r in tool_list(uses(), shop.model_copy(update={"angle_gauges": (gauge,)})).records()
    ]
    assert "Half-inch gauge" in names
    assert "angle gauge" not in names


def test_a_torque_that_no_wrench_reaches_names_the_torque() -> None:
    names = [r["tool"].replace("\u00a0", " ") for r in tool_list(uses(), Shop()).records()]
    assert "torque wrench for 22 N·m" in names


def test_filtered_by_variant(shop: Shop) -> None:
    assert (
        record(tool_list(uses("transmission=manual"), shop), "10 mm socket")["use"]
        == "Cooler bolts"
    )


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


def joint(**fields: str) -> Fastener:
    said = "".join(f"\n  {key}: {value}" for key, value in fields.items())
    entity = entity_from(f"```{{fasteners}}\nj:\n  kind: bolt{said}\n```\n", "j")
    assert isinstance(entity, Fastener)
    return entity


def with_lengths(shop: Shop) -> Shop:
    wrenches = tuple(
        TorqueWrench.model_validate(
            {"id": str(w.id), "name": w.name, "range": w.range, "length": "300 mm"}
        )
        for w in shop.torque_wrenches
    )
    return shop.model_copy(update={"torque_wrenches": wrenches})


@pytest.mark.parametrize(
    ("stages", "text"),
    [
        ("12 N·m", "Wrench 5–25 N·m"),
        ("12 ± 1 N·m", "Wrench 5–25 N·m"),
        ("10–12 N·m", "Wrench 5–25 N·m (set 11 N·m = 97.4 lbf·in)"),
        ("[6 N·m, 60 N·m]", "Wrench 2–10 N·m (stage 1), Wrench 20–100 N·m (stage 2)"),
        ("[snug, 6 N·m, 60 N·m, 7 N·m]",
         "Wrench 2–10 N·m (stage 2; stage 4), Wrench 20–100 N·m (stage 3)"),
        ("[6 N·m, 7 N·m, +45°]", "Wrench 2–10 N·m, angle gauge"),
        ("300 N·m", "torque wrench for 300 N·m"),
    ],
)  # fmt: skip
def test_the_wrenches_in_one_line(shop: Shop, stages: str, text: str) -> None:
    assert tool_text(joint(tighten=stages), shop).replace("\u00a0", " ") == text


def test_an_adapter_asks_for_a_length_and_gives_a_setting(shop: Shop) -> None:
    crow_foot = joint(tighten="16 N·m", adapter="40 mm", head="11 mm crow-foot")
    text = tool_text(crow_foot, with_lengths(shop)).replace("\u00a0", " ")
    # 16 × 300 / (300 + 40) = 14.12; 14.12 / 0.1129848 = 125.0
    assert text == (
        "11 mm crow-foot, Wrench 5–25 N·m (set 14.1 N·m = 125 lbf·in with the 40 mm adapter)"
    )
    assert tools_for(crow_foot, with_lengths(shop)) == ["11 mm crow-foot", "Wrench 5–25 N·m"]
    assert "torque wrench for 16" in tool_text(crow_foot, shop), "no wrench states its length"


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


def test_the_wrench_of_each_stage_with_its_setting_and_band(shop: Shop) -> None:
    (fastener,) = (each for each in joints(uses()) if each.id == "big-bolts")
    fields = [dict(each) | {"deviation_class": "II A"} for each in shop.torque_wrenches]
    classed = Shop(torque_wrenches=tuple(TorqueWrench.model_construct(**each) for each in fields))
    rows = [(label, text.replace("\u00a0", " ")) for label, text in wrench_rows(fastener, classed)]
    assert [label for label, _ in rows] == ["Wrench, stage 1", "Wrench, stage 2"]
    # ISO 6789-1, class II A over 10 N·m: 4 %, so that 22 N·m gives 21.1 to 22.9 N·m.
    assert rows[1][1].endswith("set 22 N·m (16.2 lbf·ft): 21.1–22.9 N·m")
