"""Record files: broken, huge and hostile ones are refused clearly; odd fields are findings."""

from __future__ import annotations

import json
from typing import Any

import pytest

from procedures_lib.judging.records.record import MOST_BYTES, RecordError, load_record, read_record
from tests.records.samples import complete, found


def raw(**changed: Any) -> bytes:
    return json.dumps(complete(**changed)).encode()


def test_a_record_comes_back_as_it_was_written() -> None:
    assert load_record(raw()) == complete()
    assert load_record(b"\xef\xbb\xbf" + raw()) == complete()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "breaks off"),
        (raw()[:-40], "breaks off"),
        (b"\xff\xfe" + raw(), "not UTF-8"),
        (b"[1, 2]", "no JSON object"),
        (b"{'format': 1}", "not JSON"),
        (b'{"format": 1, "format": 1}', "comes twice"),
        (b'{"format": NaN}', "no number of JSON"),
        (b'{"a":' * 5000 + b"1" + b"}" * 5000, "nested deeper"),
        (b'{"a":' * 20 + b"1" + b"}" * 20, "nested deeper"),
        (b'{"a": ' + b"9" * 6000 + b"}", "a number that nobody writes"),
        (b" " * (MOST_BYTES + 1), "more than"),
        (b'{"steps": [{"number": 1, "number": 2}]}', "comes twice"),
        (b'{"readings": [{"value": -Infinity}]}', "no number of JSON"),
        (b'{"readings": [{"stage": ' + b"9" * 6000 + b"}]}", "a number that nobody writes"),
    ],
)
def test_what_is_no_record_is_refused(content: bytes, said: str) -> None:
    with pytest.raises(RecordError) as caught:
        load_record(content)
    assert said in caught.value.message
    assert caught.value.hint


@pytest.mark.parametrize(
    ("changed", "wanted"),
    [
        ({"format": 2}, [("$.format", "unknown-format")]),
        ({"format": True}, [("$.format", "unknown-format")]),
        ({"procedure": 7}, [("$.procedure", "wrong-shape")]),
        ({"revision": ""}, [("$.revision", "wrong-shape")]),
        ({"digest": "x" * 3000}, [("$.digest", "wrong-shape")]),
        ({"car": {"transmission": "manual", "a b": ["x"]}},
         [('$.car["a b"]', "wrong-shape"), ('$.car["a b"]', "unknown-option")]),
        ({"steps": [{"number": 1}, {"number": 2}, "3"]}, [("$.steps[2]", "wrong-shape")]),
        ({"steps": [{"number": 1}, {"number": 2, "done": "noon"}]},
         [("$.steps[1].done", "wrong-shape")]),
        ({"steps": [{"number": 1}, {"number": 2, "done": "2026-02-30T10:00:00Z"}]},
         [("$.steps[1].done", "wrong-shape")]),
    ],
)  # fmt: skip
def test_fields_of_the_wrong_shape_are_findings(
    changed: dict[str, Any], wanted: list[tuple[str, str]]
) -> None:
    assert found(complete(**changed)) == wanted


def test_lists_that_are_none_or_endless_are_one_finding_each() -> None:
    record, findings = read_record(complete(steps=None, readings=[{}] * 6000))
    assert record is not None
    assert (record.steps, record.readings) == ((), ())
    assert [finding.path for finding in findings] == ["$.steps", "$.readings"]


def test_an_item_that_says_what_it_is_of_is_used_for_what_is_right_in_it() -> None:
    first, second, _ = complete()["readings"]
    readings = [{**first, "unit": 7, "at": 20261125}, {**second, "stage": "1"}, None]
    record, findings = read_record(complete(readings=readings))
    assert record is not None
    assert [(each.path, each.value, each.unit, each.at) for each in record.readings] == [
        ("$.readings[0]", "10", "", None)
    ]
    assert [finding.path for finding in findings] == [
        "$.readings[0].unit", "$.readings[0].at", "$.readings[1].stage", "$.readings[2]"
    ]  # fmt: skip


def test_a_path_in_the_file_is_not_taken_for_where_a_reading_stands() -> None:
    record, findings = read_record(complete(steps=[{"number": 1, "path": "elsewhere"}]))
    assert record is not None
    assert (record.steps[0].path, findings) == ("$.steps[0]", [])


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"procedure": None}, "`procedure` has to be a text of 1 to 2000 characters"),
        ({"car": ["manual"]}, "`car` has to be an object"),
        ({"car": {"transmission": 6}}, "`transmission` has to be a text of up to 2000 characters"),
        ({"car": {"\ud800": 6}}, "`\ud800` has to be a text of up to 2000 characters"),
        ({"steps": {}}, "`steps` has to be a list of up to 5000 items"),
        ({"steps": [1]}, "this has to be an object"),
        ({"steps": [{"number": 1.5}]}, "`number` has to be a whole number from 1 to 10000"),
        ({"steps": [{"number": True}]}, "`number` has to be a whole number from 1 to 10000"),
        ({"steps": [{"number": 10_001}]}, "`number` has to be a whole number from 1 to 10000"),
        ({"steps": [{"number": 1, "done": 5}]},
         "`done` has to be a time such as 2026-09-14T15:30:00+02:00"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_in_plain_words(changed: dict[str, Any], message: str) -> None:
    (finding,) = read_record(complete(**changed))[1]
    assert finding.message == message
    assert finding.hint == f"give {message.partition('has to be ')[2]}"
