"""The tool list, and the tools of a joint in one line."""

from __future__ import annotations

import pytest

from procedures_lib.fronts.tables.procedure_tables import tool_list
from procedures_lib.fronts.tables.words import stage_tools, tool_text, wrench_rows
from procedures_lib.manual.shop import AngleGauge, Shop, TorqueWrench
from procedures_lib.view.joint import joints, stage_views
from tests.tables.samples import record
from tests.view.world import fastener_with, uses, with_lengths


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
    assert tool_text(fastener_with(tighten=stages), shop).replace("\u00a0", " ") == text


def test_the_setting_with_an_adapter_stands_with_the_wrench(shop: Shop) -> None:
    crow_foot = fastener_with(tighten="16 N·m", adapter="40 mm", head="11 mm crow-foot")
    text = tool_text(crow_foot, with_lengths(shop)).replace("\u00a0", " ")
    # 16 × 300 / (300 + 40) = 14.12; 14.12 / 0.1129848 = 125.0
    assert text == (
        "11 mm crow-foot, Wrench 5–25 N·m (set 14.1 N·m = 125 lbf·in with the 40 mm adapter)"
    )
    assert "torque wrench for 16" in tool_text(crow_foot, shop), "no wrench states its length"


def test_the_wrench_of_each_stage_with_its_setting_and_band(shop: Shop) -> None:
    (fastener,) = (each.fastener for each in joints(uses()) if each.id == "big-bolts")
    fields = [dict(each) | {"deviation_class": "II A"} for each in shop.torque_wrenches]
    classed = Shop(torque_wrenches=tuple(TorqueWrench.model_construct(**each) for each in fields))
    rows = [(label, text.replace("\u00a0", " ")) for label, text in wrench_rows(fastener, classed)]
    assert [label for label, _ in rows] == ["Wrench, stage 1", "Wrench, stage 2"]
    # ISO 6789-1, class II A over 10 N·m: 4 %, so that 22 N·m gives 21.1 to 22.9 N·m.
    assert rows[1][1].endswith("set 22 N·m (16 lbf·ft): 21.1–22.9 N·m")


def test_on_the_way_to_the_next_slot_nothing_is_set(shop: Shop) -> None:
    nut = fastener_with(tighten='[55 N·m, "next slot, at most 75 N·m"]')
    said = [stage_tools(view, nut)[1].replace("\u00a0", " ") for view in stage_views(nut, shop)]
    assert said == ["set 55 N·m (41 lbf·ft)", "not above 75 N·m (55 lbf·ft)"]
    rows = [text.replace("\u00a0", " ") for _, text in wrench_rows(nut, shop)]
    assert rows[1].endswith(", not above 75 N·m (55 lbf·ft)")


def test_a_torque_or_the_next_slot_is_set_as_printed(shop: Shop) -> None:
    nut = fastener_with(tighten="20 N·m or next slot")
    (view,) = stage_views(nut, shop)
    assert stage_tools(view, nut)[1].replace("\u00a0", " ") == "set 20 N·m (15 lbf·ft)"
