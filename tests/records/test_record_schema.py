"""The published schema: valid itself, and of one mind with the reader."""

from __future__ import annotations

import json
from base64 import b64encode
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from pydantic import BaseModel

from procedures_lib.judging.records.photograph import JPEG, MOST_PICTURE_BYTES
from procedures_lib.judging.records.record import (
    HandOver,
    JobSheet,
    Reading,
    Remark,
    StepDone,
    read_record,
    record_schema_text,
)
from procedures_lib.judging.records.remarks import KINDS
from tests.records.samples import changed_reading, complete

SCHEMA = json.loads(record_schema_text())


def is_valid(value: dict[str, Any]) -> bool:
    return bool(Draft202012Validator(SCHEMA).is_valid(value))


def test_the_schema_is_one_and_takes_a_complete_record() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert is_valid(complete())
    assert is_valid(complete(reference="AB 123", set_aside=[{"key": "x", "value": "10"}]))


@pytest.mark.parametrize(
    "value",
    [
        complete(format=2),
        complete(procedure=""),
        complete(revision=3),
        complete(car=[]),
        complete(car={"transmission": 6}),
        complete(steps={}),
        complete(steps=[{"number": 0}]),
        complete(steps=[{"number": 1.5}]),
        complete(readings=["x"]),
        changed_reading(0, joint=""),
        changed_reading(0, stage="2"),
        changed_reading(0, value=10),
        changed_reading(0, unit="x" * 2001),
        complete(remarks={}),
        complete(remarks=[{"step": 1}]),
        complete(remarks=[{"step": 1, "kind": "wrong"}] * 51),
        complete(remarks=[{"step": 1, "kind": "wrong", "text": "x" * 301}]),
        complete(remarks=[{"step": 1, "kind": "wrong", "picture": []}]),
    ],
)
def test_what_the_schema_refuses_the_reader_finds(value: dict[str, Any]) -> None:
    assert not is_valid(value)
    assert read_record(value)[1]


BOUNDS = ("minLength", "maxLength", "minimum", "maximum", "maxItems")


@pytest.mark.parametrize(
    ("model", "published"),
    [
        (JobSheet, SCHEMA),
        (StepDone, SCHEMA["properties"]["steps"]["items"]),
        (Reading, SCHEMA["properties"]["readings"]["items"]),
        (Remark, SCHEMA["properties"]["remarks"]["items"]),
        (HandOver, SCHEMA["properties"]["handovers"]["items"]),
    ],
)
def test_the_schema_has_each_field_that_is_read_with_its_bounds(
    model: type[BaseModel], published: dict[str, Any]
) -> None:
    read = model.model_json_schema()["properties"]
    names = read.keys() - {"path", "digest", "kind"}  # a digest has a pattern, a kind is of a list
    assert names
    for name in names:
        told = published["properties"][name]
        told = SCHEMA["$defs"][told["$ref"].rpartition("/")[2]] if "$ref" in told else told
        assert [read[name].get(key) for key in BOUNDS] == [told.get(key) for key in BOUNDS], name
    needed = {name for name, field in model.model_fields.items() if field.is_required()}
    assert needed - {"path"} <= set(published["required"])


def test_the_schema_has_the_kinds_and_the_most_of_a_photograph() -> None:
    fields = SCHEMA["properties"]["remarks"]["items"]["properties"]
    assert fields["kind"]["enum"] == list(KINDS)
    picture = fields["picture"]["properties"]
    assert picture["type"]["const"] == JPEG
    most = picture["data"]["maxLength"]
    assert most == len(b64encode(bytes(MOST_PICTURE_BYTES)))
    assert is_valid(complete(remarks=[{"step": 1, "kind": "slow", "text": "", "at": ""}]))
