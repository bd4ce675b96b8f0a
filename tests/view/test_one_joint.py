"""One joint, one step: torque table, card, JSON, HowTo and search say the same of it."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from procedures_lib.engineering.tightening import Stage, StageKind, read_stages
from procedures_lib.fronts.formats import procedure_json, table_json
from procedures_lib.fronts.formats.how_to import how_to
from procedures_lib.fronts.paper.card import Card, make_card
from procedures_lib.fronts.search import Row, rows_of_page
from procedures_lib.fronts.tables.procedure_tables import tight_table, torque_table
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, read_condition
from procedures_lib.view.closing import closing
from procedures_lib.view.uses import Cars, Uses, uses_of
from tests.demo import TIGHTENS_NOTHING, demo, demo_plan

ALL = [head.id for head in demo().heads(Procedure)]


@cache
def uses(name: str) -> Uses:
    return uses_of(demo_plan(name))


@cache
def exported(name: str) -> dict[str, Any]:
    return procedure_json(demo(), demo_plan(name))


@cache
def card(name: str) -> Card:
    return make_card(demo(), demo_plan(name), ALWAYS)


@cache
def hits(name: str) -> dict[str, Row]:
    """The hits of a procedure's page by their place on it."""
    rows = rows_of_page(demo(), demo_plan(name).head.place.page)
    return {row.target: row for row in reversed(rows)}


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def stages_of(joint: dict[str, Any]) -> list[Stage]:
    """The stages of a joint in JSON, read from their texts as a page's are."""
    read = read_stages([_text_of(stage) for stage in joint["stages"]])
    return [
        Stage(StageKind(value["kind"]), words=value["words"]) if value["words"]
        else stage.on(only=tuple(value["only"]))
        for stage, value in zip(read, joint["stages"], strict=True)
    ]  # fmt: skip


def _text_of(stage: dict[str, Any]) -> str:
    """The text of a stage, without its positions and what its share comes to."""
    if stage["share"] is not None:
        return f"{100 * stage['share']:g} %"
    return "hand" if stage["words"] else str(stage["text"]).partition(" (only ")[0]


def said(stages: list[Stage], unit: str = "") -> str:
    texts = (stage.in_unit(unit) if unit else stage.shown() for stage in stages)
    return plain(", then ".join(texts))


def in_words(numbers: list[int]) -> str:
    return ", ".join(map(str, numbers))


@pytest.mark.parametrize("name", ALL)
def test_export_and_table_json_have_one_form(name: str) -> None:
    joints = exported(name)["joints"]
    assert bool(joints) != (name in TIGHTENS_NOTHING)
    assert table_json("torque", uses(name), demo().shop)["rows"] == joints
    for joint in joints:
        for stage, read in zip(joint["stages"], stages_of(joint), strict=True):
            assert (stage["kind"], stage["degrees"]) == (str(read.kind), read.degrees)
            ends = read.torque.exact("N·m") if read.torque else None
            assert stage["N_m"] == (
                {"low": float(ends[0]), "high": float(ends[1])} if ends else None
            )


@pytest.mark.parametrize("name", ALL)
def test_the_torque_table_says_what_the_json_says(name: str) -> None:
    records = torque_table(uses(name), demo().shop).records()
    for joint, row in zip(exported(name)["joints"], records, strict=True):
        stages = stages_of(joint)
        for unit in ("N·m", "lbf·ft", "lbf·in"):
            assert plain(row[unit]) == said(stages, unit)
        assert (plain(row["fastener"]), row["count"]) == (joint["name"], f"{joint['count']} ×")
        assert (row["steps"], row["when"]) == (in_words(joint["steps"]), joint["when"])
        assert (row["hardware"], row["source"]) == (joint["hardware"], joint["source"])
        assert row["thread"].startswith(joint["thread"])
        assert ("left-hand thread" in row["thread"]) == (joint["turns"] == "left")
        assert all(tool in plain(row["tool"]) for tool in joint["tools"])


@pytest.mark.parametrize("name", ALL)
def test_the_card_says_what_the_json_says(name: str) -> None:
    cars = Cars(demo_plan(name), ALWAYS)
    for joint, shown in zip(exported(name)["joints"], card(name).joints, strict=True):
        assert (shown.id, plain(shown.name), shown.count) == tuple(
            joint[key] for key in ("id", "name", "count")
        )
        assert plain(shown.stages) == said(stages_of(joint))
        assert shown.steps == in_words(joint["steps"])
        assert f"hardware {joint['hardware']}" in shown.details
        assert any(joint["thread"] in detail for detail in shown.details)
        when = read_condition(joint["when"]) if joint["when"] else ALWAYS
        assert shown.only == cars.only(when)


@pytest.mark.parametrize("name", ALL)
def test_the_last_checks_say_what_the_json_says(name: str) -> None:
    rows = tight_table(closing(uses(name))).records()
    for joint, row in zip(exported(name)["joints"], rows, strict=True):
        assert (plain(row["joint"]), row["count"]) == (joint["name"], f"{joint['count']} ×")
        assert plain(row["stages"]) == said(stages_of(joint))
        tightened = [
            step["number"]
            for step in exported(name)["steps"]
            for action in step["actions"]
            if action["verb"] == "tighten"
            for thing in action["objects"]
            if thing["id"] == joint["id"]
        ]
        assert row["steps"] == in_words(sorted(set(tightened)))


@pytest.mark.parametrize("name", ALL)
def test_a_search_finds_what_the_json_says(name: str) -> None:
    for joint in exported(name)["joints"]:
        hit = hits(name)[f"fastener:{joint['id']}"]
        counted = f"{joint['count']} × {joint['thread'] or joint['kind']}"
        assert (plain(hit.name), hit.kind) == (joint["name"], "f")
        assert said(stages_of(joint)) in plain(hit.shown)
        assert counted in plain(hit.shown) or joint["count"] == 1


@pytest.mark.parametrize("name", ALL)
def test_a_step_says_the_same_torques_everywhere(name: str) -> None:
    joints: dict[str, list[dict[str, Any]]] = {}
    for joint in exported(name)["joints"]:
        joints.setdefault(joint["id"], []).append(joint)
    steps = zip(exported(name)["steps"], card(name).steps, how_to(demo(), demo_plan(name))["step"],
                strict=True)  # fmt: skip
    seen = 0
    for step, on_card, how in steps:
        hit = hits(name)[f"step:{step['number']}"]
        assert (step["number"], step["title"]) == (on_card.number, on_card.title)
        assert (how["position"], how["name"], hit.name) == (
            step["number"],
            step["title"],
            step["title"],
        )
        for action in step["actions"]:
            for thing in action["objects"] if action["verb"] == "tighten" else ():
                one = action["stage"]
                for stages in map(stages_of, joints.get(thing["id"], ())):
                    text = f"stage {one}: {said(stages[one - 1 : one])}" if one else said(stages)
                    assert text in [plain(d.torque) for d in on_card.doings if d.id == thing["id"]]
                    assert thing["name"] in how["text"]
                    assert f": {text}" in how["text"]
                    seen += 1
    assert bool(seen) != (name in TIGHTENS_NOTHING)
