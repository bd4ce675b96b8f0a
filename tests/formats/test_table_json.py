"""A table as JSON: its rows are the joints, parts and tools of the whole procedure's JSON."""

from __future__ import annotations

import json

import pytest
from jsonschema import Draft202012Validator

from procedures_lib.engineering.tightening import Stage, StageKind, read_stage, read_stages
from procedures_lib.fronts.formats import procedure_json, table_json
from procedures_lib.fronts.formats.procedure_files import procedure_schema_text
from procedures_lib.fronts.formats.values import stage_value
from procedures_lib.fronts.tables.procedure_tables import TABLES, make_table
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual.shop import Shop
from procedures_lib.view.uses import uses_of
from tests.demo import TIGHTENS_NOTHING, demo, demo_plan
from tests.mule import mule, mule_uses

PARTS_OF_SCHEMA = {"torque": "joints", "parts": "parts", "tools": "tools"}
"""Each table with the key of a whole procedure that has its rows."""

ALL = [head.id for head in demo().heads(Procedure)]


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
        ("20 N·m or next slot", 20, 20),
    ],
)
def test_a_torque_is_given_in_newton_metres_from_end_to_end(
    written: str, low: float, high: float
) -> None:
    value = stage_value(read_stage(written))
    assert value["N_m"] == pytest.approx({"low": low, "high": high}, rel=1e-6)
    assert value["degrees"] is None
    assert value["amount"]["text"] in written
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
        ("back off at most 1/4 turn", "back off at most", -90),
        ("hand", "hand", None),
        ("snug", "snug", None),
    ],
)
def test_an_angle_is_given_in_degrees_with_its_direction(
    written: str, kind: str, degrees: float | None
) -> None:
    value = stage_value(read_stage(written))
    assert value == {
        "kind": kind,
        "text": value["text"],
        "amount": value["amount"],
        "N_m": None,
        "degrees": degrees,
        "fully": written == "back off fully",
        "mm": None,
        "share": None,
        "words": "",
        "only": [],
    }


def test_a_stretch_a_share_and_words() -> None:
    # An inch is 25.4 mm (SI brochure, 9th edition, table 8 and NIST SP 811)
    stretch = stage_value(read_stage("stretch 0.0063 in"))
    assert stretch["mm"] == pytest.approx({"low": 0.16002, "high": 0.16002})
    half, whole = (stage_value(stage) for stage in read_stages(["50 %", "65 N·m"]))
    assert (half["share"], half["N_m"], half["text"]) == (
        0.5,
        {"low": 32.5, "high": 32.5},
        "50 % = 32 N·m",
    )
    assert whole["share"] is None
    until = stage_value(Stage(StageKind.UNTIL, words="two teeth show").on(only=("a", "b")))
    assert (until["kind"], until["words"], until["only"]) == ("until", "two teeth show", ["a", "b"])
    assert until["text"] == "until two teeth show (only a, b)"


def test_the_torque_table_carries_stages_and_ids() -> None:
    value = table_json("torque", mule_uses(), Shop())
    assert list(value) == ["format", "procedure", "table", "when", "rows"]
    assert (value["format"], value["procedure"], value["table"]) == (2, "renew-cover", "torque")
    first, second = value["rows"]
    assert (first["id"], first["when"]) == ("cover-bolts", "")
    assert [stage["text"] for stage in first["stages"]] == ["hand", "89 lbf·in"]
    assert [stage["kind"] for stage in first["stages"]] == ["hand", "torque"]
    assert (second["id"], second["when"]) == ("side-bolt", "transmission=manual")
    assert [stage["degrees"] for stage in second["stages"]] == [None, 60]


def test_only_the_rows_of_the_cars_asked_for() -> None:
    value = table_json("torque", mule_uses("transmission=automatic"), Shop())
    assert value["when"] == "transmission=automatic"
    assert [row["id"] for row in value["rows"]] == ["cover-bolts"]


@pytest.mark.parametrize("name", TABLES)
def test_every_table_is_plain_json_with_a_row_for_each_row_of_the_table(name: str) -> None:
    value = table_json(name, mule_uses(), Shop())
    assert json.loads(json.dumps(value, allow_nan=False)) == value
    assert value["table"] == name
    records = make_table(name, mule_uses(), Shop()).records()
    assert len(value["rows"]) == len(records) > 0
    for row, record in zip(value["rows"], records, strict=True):
        first = "tool" if name == "tools" else "name"
        assert row[first] == next(iter(record.values())).replace("\u00a0", " ")
        assert (", ".join(map(str, row["steps"])), row["when"]) == (record["steps"], record["when"])
        assert "\u00a0" not in json.dumps(row, ensure_ascii=False)


@pytest.mark.parametrize("name", TABLES)
def test_the_rows_are_those_of_the_whole_procedure(name: str) -> None:
    whole = procedure_json(mule(), mule_uses().plan)
    assert table_json(name, mule_uses(), Shop())["rows"] == whole[PARTS_OF_SCHEMA[name]]


def schema_of_rows(name: str) -> Draft202012Validator:
    """The part of the published schema that describes the rows of a table."""
    whole = json.loads(procedure_schema_text())
    rows = whole["properties"][PARTS_OF_SCHEMA[name]]
    return Draft202012Validator({**rows, "$schema": whole["$schema"], "$defs": whole["$defs"]})


@pytest.mark.parametrize("procedure", ALL)
@pytest.mark.parametrize("name", TABLES)
def test_the_rows_are_valid_by_that_part_of_the_schema(name: str, procedure: str) -> None:
    value = table_json(name, uses_of(demo_plan(procedure)), demo().shop)
    assert value["rows"] or (name == "torque" and procedure in TIGHTENS_NOTHING)
    schema_of_rows(name).validate(json.loads(json.dumps(value["rows"])))


@pytest.mark.parametrize("name", TABLES)
def test_that_part_of_the_schema_refuses_a_row_with_a_key_more_or_less(name: str) -> None:
    row = table_json(name, mule_uses(), Shop())["rows"][0]
    schema = schema_of_rows(name)
    assert schema.is_valid([row])
    assert not schema.is_valid([{**row, "more": ""}])
    assert not schema.is_valid([{key: row[key] for key in row if key != "steps"}])
