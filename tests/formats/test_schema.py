"""JSON Schema of the blocks: valid by the meta-schema; the demo fits it, seeded slips do not."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from procedures_lib.fronts.formats.block_schema import block_schema, model_of
from procedures_lib.fronts.formats.procedure_files import block_schema_text as schema_text
from procedures_lib.fronts.formats.procedure_files import write_schemas
from procedures_lib.language.entities.entity import fields_of
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, Body
from procedures_lib.manual.folder import page_names, read_contents

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.reading.page import Block

DOCS = Path(__file__).resolve().parents[2] / "docs"


@cache
def validator(block: str) -> Draft202012Validator:
    return Draft202012Validator(
        block_schema(block), format_checker=Draft202012Validator.FORMAT_CHECKER
    )


def blocks() -> Iterator[tuple[Block, str]]:
    """Every block of the demo with YAML in it, and the text of its page."""
    for content in read_contents(DOCS, page_names(DOCS)):
        text = DOCS.joinpath(content.page.name).read_text("utf-8")
        yield from ((block, text) for block in content.page.walk() if block.data is not None)


def as_a_parser_types_it(block: Block, text: str) -> Any:
    """The block's YAML as an editor's parser has it: numbers and the like, dates as text."""
    lines = text.split("\n")[block.place.line : block.end - 1]

    class Loader(yaml.SafeLoader):
        pass

    other = ("timestamp", "int", "bool")  # in YAML 1.2 `on` is a word, 010 and 1:30 no numbers
    Loader.yaml_implicit_resolvers = {
        sign: [pair for pair in pairs if pair[0].rpartition(":")[2] not in other]
        for sign, pairs in yaml.SafeLoader.yaml_implicit_resolvers.items()
    }
    whole, truth = re.compile(r"[-+]?(?:0|[1-9][0-9]*)$"), re.compile(r"(?:true|false)$")
    Loader.add_implicit_resolver("tag:yaml.org,2002:int", whole, list("-+0123456789"))
    Loader.add_implicit_resolver("tag:yaml.org,2002:bool", truth, list("tf"))
    return yaml.load("\n".join(lines), Loader)  # noqa: S506 - a safe loader


@pytest.mark.parametrize("block", BLOCK_KINDS)
def test_every_schema_is_one(block: str) -> None:
    schema = block_schema(block)
    Draft202012Validator.check_schema(schema)
    assert schema["title"] == block
    assert schema["description"].endswith(BLOCK_KINDS[block].purpose)
    assert "x-kind" not in schema_text(block)


@pytest.mark.parametrize("block", BLOCK_KINDS)
def test_every_field_is_in_it_with_its_line(block: str) -> None:
    model, schema = model_of(block), block_schema(block)
    if model is None:
        assert block == "expect"
        return
    entry = schema.get("$defs", {}).get(model.__name__, schema)
    assert list(entry["properties"]) == list(fields_of(model))
    assert all(field["title"] and field["description"] for field in entry["properties"].values())


def test_what_the_library_knows_of_a_hazard_need_not_be_said() -> None:
    known, own = {"battery": {"called-by": "lead"}}, {"dust": {"called-by": "pads"}}
    assert list(validator("hazards").iter_errors(known)) == []
    assert [e.message for e in validator("hazards").iter_errors(own)] == [
        f"'{name}' is a required property" for name in ("name", "signal", "harm", "avoid")
    ]


def test_every_block_of_the_demo_fits() -> None:
    seen = set()
    for block, text in blocks():
        seen.add(block.name)
        assert list(validator(block.name).iter_errors(block.data)) == [], block.place
        if BLOCK_KINDS[block.name].body is Body.DATA:
            typed = as_a_parser_types_it(block, text)
            assert list(validator(block.name).iter_errors(typed)) == [], block.place
    data = {kind.name for kind in BLOCK_KINDS.values() if kind.body is Body.DATA}
    assert seen >= data


SLIPS = [
    ("vehicle", "years: 2018-2022", "'name' is a required property"),
    ("vehicle", "name: V\nyeers: 2018", "'yeers' was unexpected"),
    ("vehicle", "name: V\noptions: {a: [b]}", "too short"),
    ("vehicle", "name: {a: b}", "is not of type"),
    ("vehicle", "name: ", "None is not of type"),
    ("parts", "Top cover: {name: C}", "does not match"),
    ("parts", "cover: {kind: gaskit}", "is not one of"),
    ("parts", "cover: {count: 0}", "less than the minimum"),
    ("parts", "cover: {count: many}", "does not match"),
    ("parts", "cover: {reuse: maybe}", "is not one of"),
    ("parts", "cover: {held-by: {a: b}}", "not valid under any"),
    ("parts", "cover: {held-by: [Cover bolts]}", "not valid under any"),
    ("connections", "plug: {kind: plug}", "'between' is a required property"),
    ("fasteners", "a: {kind: bolt, recheck: 100}", "is not of type"),
    ("fasteners", "a: {kind: bolt, recheck: some km}", "does not match"),
    ("fasteners", "a: {kind: bolt, positions: {x: [1]}}", "too short"),
    ("fasteners", "a: {kind: bolt, tighten: [{stage: 3 N·m, ordr: cross}]}", "not valid under any"),
    ("fasteners", "a: {kind: bolt, into: {materiel: steel}}", "was unexpected"),
    ("fluids", "oil: {kind: oil, quantity: 5}", "is not of type"),
    ("hazards", "h: {name: H, signal: Danger, harm: h, avoid: a}", "is not one of"),
    ("kit", "name: K\nfits: {}\ncontents: []", "'vehicle' is a required property"),
    ("kit", "name: K\nfits: {vehicle: v}\ncontents: [{part: a, supply: b}]", "not valid under any"),
    ("procedure", "vehicle: v\nrevision: A\nreviewed: 14.9.2026", "does not match"),
    ("job", "vehicle: v", "'procedures' is a required property"),
    ("dyno-session", "vehicle: v", "'dyno' is a required property"),
    ("step", "do: [{remove: lid}]", "not valid under any"),
    ("step", "people: two", "does not match"),
    ("expect", "{}", "non-empty"),
    ("page-example", "find: [x]", "was unexpected"),
]


@pytest.mark.parametrize(("block", "text", "said"), SLIPS)
def test_a_slip_does_not_fit(block: str, text: str, said: str) -> None:
    errors = list(validator(block).iter_errors(yaml.safe_load(text)))
    assert errors
    assert any(said in error.message for error in errors), [e.message for e in errors]


def test_files_are_written_once(tmp_path: Path) -> None:
    paths = write_schemas(tmp_path / "schema")
    assert sorted(path.stem for path in paths) == sorted(BLOCK_KINDS)
    before = {path: path.stat().st_mtime_ns for path in paths}
    write_schemas(tmp_path / "schema")
    assert {path: path.stat().st_mtime_ns for path in paths} == before
