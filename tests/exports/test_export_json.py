"""JSON: the texts of the page, and numbers that a program can use."""

from __future__ import annotations

import json

import pytest

from procedures_lib.engineering.tightening import read_stage
from procedures_lib.fronts.formats import TABLES, make_table, table_json
from procedures_lib.fronts.formats.values import stage_value
from procedures_lib.manual.shop import Shop
from tests.exports.samples import mule_uses

NONE = {"N_m_low": None, "N_m_high": None, "degrees": None}


@pytest.mark.parametrize(
    ("written", "low", "high"),
    # Factors: NIST SP 811 (2008), appendix B.8: lbf·in 1.129848 E-01 N·m, lbf·ft 1.355818 N·m,
    # kgf·m 9.80665 N·m
    [
        ("89 lbf·in", 89 * 0.1129848, 89 * 0.1129848),
        ("33 lbf·ft", 33 * 1.355818, 33 * 1.355818),
        ("2 kgf·m", 2 * 9.80665, 2 * 9.80665),
        ("12 ± 1 N·m", 11, 13),
        ("10–12 N·m", 10, 12),
        ("drag 2.0–2.6 N·m", 2.0, 2.6),
        ("next slot, at most 60 N·m", 60, 60),
    ],
)
def test_a_torque_is_given_in_newton_metres_from_end_to_end(
    written: str, low: float, high: float
) -> None:
    value = stage_value(read_stage(written))
    assert value["N_m_low"] == pytest.approx(low, rel=1e-6)
    assert value["N_m_high"] == pytest.approx(high, rel=1e-6)
    assert value["degrees"] is None
    assert value["text"] == written


@pytest.mark.parametrize(
    ("written", "kind", "degrees"),
    # A turn is 360 degrees: SI brochure, 9th edition, table 8, with a turn of 2 pi rad
    [
        ("+45°", "angle", 45),
        ("+1/6 turn", "angle", 60),
        ("+45 ± 5°", "angle", 45),
        ("back off 180°", "back off", -180),
        ("back off fully", "back off", None),
        ("hand", "hand", None),
        ("snug", "snug", None),
    ],
)
def test_an_angle_is_given_in_degrees_with_its_direction(
    written: str, kind: str, degrees: float | None
) -> None:
    value = stage_value(read_stage(written))
    assert value == {**NONE, "kind": kind, "text": value["text"], "degrees": degrees}


def test_the_torque_table_carries_stages_and_ids() -> None:
    uses = mule_uses()
    value = table_json(make_table("torque", uses, Shop()), uses)
    assert value.keys() == {"format", "procedure", "table", "when", "rows"}
    assert (value["format"], value["procedure"], value["table"]) == (1, "renew-cover", "torque")
    first, second = value["rows"]
    assert (first["id"], first["N·m"], first["when"]) == ("cover-bolts", "hand, then 10 N·m", "")
    assert [stage["kind"] for stage in first["stages"]] == ["hand", "torque"]
    assert (second["id"], second["when"]) == ("side-bolt", "transmission=manual")
    assert [stage["degrees"] for stage in second["stages"]] == [None, 60]


def test_only_the_rows_of_the_cars_asked_for() -> None:
    uses = mule_uses("transmission=automatic")
    value = table_json(make_table("torque", uses, Shop()), uses)
    assert value["when"] == "transmission=automatic"
    assert [row["id"] for row in value["rows"]] == ["cover-bolts"]


@pytest.mark.parametrize("name", TABLES)
def test_every_table_is_plain_json_with_the_records_of_the_table(name: str) -> None:
    uses = mule_uses()
    table = make_table(name, uses, Shop())
    value = table_json(table, uses)
    assert json.loads(json.dumps(value, allow_nan=False)) == value
    assert value["table"] == name
    assert len(value["rows"]) == len(table.rows) > 0
    for row, record in zip(value["rows"], table.records(), strict=True):
        assert row.keys() - {"id", "stages"} == record.keys()
        assert "\u00a0" not in json.dumps(row, ensure_ascii=False)
