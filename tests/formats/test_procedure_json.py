"""A whole procedure as JSON: valid by its schema, exact numbers, one order of keys."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import PurePosixPath
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from procedures_lib.engineering.quantities import read_quantity
from procedures_lib.fronts.formats.procedure_files import SCHEMA as SCHEMA_FILE
from procedures_lib.fronts.formats.procedure_files import json_line, procedure_files, stem_of
from procedures_lib.fronts.formats.procedure_files import procedure_schema_text as schema_text
from procedures_lib.fronts.formats.procedure_json import procedure_json
from procedures_lib.fronts.formats.values import exact_number, quantity_value
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS
from procedures_lib.language.variants import ALWAYS, read_condition
from procedures_lib.view.joint import joints
from procedures_lib.view.uses import uses_of
from tests.demo import CARDS, demo, demo_plan
from tests.helpers import manual_from
from tests.mule import PAGES
from tests.view.world import PAGES as KIT_PAGES

SCHEMA = json.loads(schema_text())
VALID = Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER)
ALL = [head.id for head in demo().heads(Procedure)]


def value_of(name: str, when: str = "") -> dict[str, Any]:
    return procedure_json(demo(), demo_plan(name), read_condition(when) if when else ALWAYS)


def test_the_schema_is_valid_by_the_meta_schema() -> None:
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(SCHEMA)


def test_the_schema_has_a_name_of_its_own_beside_those_of_the_blocks() -> None:
    assert PurePosixPath(SCHEMA_FILE).stem not in BLOCK_KINDS


@pytest.mark.parametrize(("name", "when"), [*CARDS, *((name, "") for name in ALL)])
def test_every_procedure_is_valid_by_the_schema(name: str, when: str) -> None:
    VALID.validate(json.loads(json_line(value_of(name, when))))


def test_a_procedure_without_kit_and_with_odd_stages_is_valid() -> None:
    stages = "[hand, snug, drag 0.8–1.2 N·m, back off 180°, back off fully, +45°]"
    pages = {name: text.replace("[hand, 89 lbf·in]", stages) for name, text in PAGES.items()}
    manual = manual_from(pages)
    plan = manual.plan_of_page("procedures/renew-cover.md")
    assert plan is not None
    value = procedure_json(manual, plan)
    VALID.validate(value)
    assert value["kit"] is None
    assert [stage["fully"] for stage in value["joints"][0]["stages"]].count(True) == 1


def objects(schema: Any) -> list[dict[str, Any]]:
    found = []
    if isinstance(schema, dict):
        found += [schema] if "properties" in schema else []
        found += [one for inner in schema.values() for one in objects(inner)]
    if isinstance(schema, list):
        found += [one for inner in schema for one in objects(inner)]
    return found


def test_the_schema_lets_no_key_be_left_out_or_added() -> None:
    assert len(objects(SCHEMA)) > 15
    for schema in objects(SCHEMA):
        assert schema["additionalProperties"] is False
        assert set(schema["required"]) == set(schema["properties"])


@pytest.mark.parametrize(
    ("path", "wrong"),
    [
        (("format",), 2),
        (("procedure",), "Fit It"),
        (("reviewed",), "14.9.2026"),
        (("steps", 0, "number"), 0),
        (("steps", 0, "signals"), [{"word": "DANGER"}]),
        (("joints", 0, "count"), "4"),
        (("joints", 0, "stages", 0, "kind"), "tight"),
        (("joints", 0, "stages", 0, "amount", "low"), "ten"),
        (("parts", 0, "steps"), ["4"]),
    ],
)
def test_the_schema_refuses(path: tuple[str | int, ...], wrong: Any) -> None:
    value = json.loads(json_line(value_of("fit-tf-220")))
    inner: Any = value
    for key in path[:-1]:
        inner = inner[key]
    inner[path[-1]] = wrong
    with pytest.raises(ValidationError):
        VALID.validate(value)


@pytest.mark.parametrize("name", ALL)
def test_the_stages_are_those_of_the_blocks(name: str) -> None:
    plan = demo_plan(name)
    for joint, view in zip(value_of(name)["joints"], joints(uses_of(plan)), strict=True):
        fastener = view.fastener
        assert joint["id"] == fastener.id
        assert joint["count"] == fastener.count
        for stage, read in zip(joint["stages"], fastener.tighten, strict=True):
            assert stage["degrees"] == read.degrees
            if read.torque is not None:
                low, high = read.torque.exact("N·m")
                assert (stage["N_m"]["low"], stage["N_m"]["high"]) == (float(low), float(high))
                assert Fraction(str(stage["amount"]["low"])) == read.torque.low


def test_newton_metres_by_the_definitions() -> None:
    # 1 lbf = 0.45359237 kg × 9.80665 m/s², 1 in = 0.0254 m, exact (NIST SP 811, appendix B.8).
    bolts = next(j for j in value_of("fit-tf-220")["joints"] if j["id"] == "cooler-220-bolts")
    assert [s["amount"]["text"] for s in bolts["stages"]] == ["10 N·m", "22 N·m"]
    manual = manual_from(PAGES)
    plan = manual.plan_of_page("procedures/renew-cover.md")
    assert plan is not None
    stage = procedure_json(manual, plan)["joints"][0]["stages"][1]
    assert stage["amount"] == {"text": "89 lbf·in", "unit": "lbf·in", "value": 89, "low": 89,
                               "high": 89}  # fmt: skip
    exact = 89 * Decimal("0.45359237") * Decimal("9.80665") * Decimal("0.0254")
    assert stage["N_m"]["low"] == float(exact)


@pytest.mark.parametrize(
    ("text", "value", "low", "high"),
    [
        ("12.5 N·m", 12.5, 12.5, 12.5),
        ("12 ± 1 N·m", 12, 11, 13),
        ("98–115 lbf·in", None, 98, 115),
        ("3/8 in", 0.375, 0.375, 0.375),
        ("1/3 in", "1/3", "1/3", "1/3"),
        ("0.1 mm", 0.1, 0.1, 0.1),
    ],
)
def test_numbers_are_exact(text: str, value: object, low: object, high: object) -> None:
    made = quantity_value(read_quantity(text))
    assert made is not None
    assert (made["value"], made["low"], made["high"]) == (value, low, high)


def test_a_number_that_no_double_holds_stands_as_a_fraction() -> None:
    assert exact_number(Fraction("12345678901234567890.5")) == "24691357802469135781/2"


def test_the_same_pages_give_the_same_text() -> None:
    first, again = (procedure_files(demo(), uses_of(demo_plan("fit-bd-420"))) for _ in range(2))
    assert list(first.items()) == list(again.items())
    assert list(first) == [
        "procedures/fit-bd-420.json",
        "procedures/fit-bd-420-torque.csv",
        "procedures/fit-bd-420-parts.csv",
    ]


def test_prose_is_plain_text() -> None:
    step = value_of("fit-tf-220")["steps"][13]
    assert "then 4 N·m (35 lbf·in): the thread is aluminium." in step["prose"][0]
    prose = [text for each in value_of("fit-tf-220")["steps"] for text in each["prose"]]
    assert len(prose) >= 30
    assert not [text for text in prose if "{" in text or "`" in text or ":::" in text]


def test_only_the_joints_of_these_cars() -> None:
    ids = {joint["id"] for joint in value_of("fit-tf-220", "transmission=manual")["joints"]}
    every = {joint["id"] for joint in value_of("fit-tf-220")["joints"]}
    assert every - ids == {"oil-cooler-220-bolts"}


def test_a_second_procedure_on_a_page_has_files_of_its_own() -> None:
    text = PAGES["procedures/renew-cover.md"]
    both = text + text.replace("renew-cover", "paint-cover").replace(
        "# Renew the cover", "## Paint"
    )
    manual = manual_from({**PAGES, "procedures/renew-cover.md": both})
    heads = [manual.head(Procedure, name) for name in ("renew-cover", "paint-cover")]
    assert [stem_of(manual.plan(head)) for head in heads if head] == [
        "procedures/renew-cover",
        "procedures/renew-cover--paint-cover",
    ]


def test_every_fastener_that_is_tightened_is_a_joint() -> None:
    for name in ALL:
        plan = demo_plan(name)
        tightened = {
            str(thing)
            for numbered in plan.steps
            for action in numbered.step.actions
            if action.verb == "tighten"
            for thing in action.objects
            if (found := plan.scope.of(Fastener, str(thing))) and found.tighten
        }
        assert tightened <= {joint["id"] for joint in value_of(name)["joints"]}


def test_a_supply_that_comes_by_mass_has_an_amount_and_no_count() -> None:
    manual = manual_from(KIT_PAGES)
    plan = manual.plan_of_page("fit.md")
    assert plan is not None
    value = procedure_json(manual, plan)
    VALID.validate(value)
    (grease,) = (row for row in value["parts"] if row["name"] == "Grease")
    assert (grease["count"], grease["amount"]) == (None, "30 g")
    (item,) = (item for item in value["kit"]["contents"] if item["what"] == "Grease")
    assert (item["qty"], item["amount"]["unit"]) == (1, "g")
