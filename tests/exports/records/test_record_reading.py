"""Record files: broken, huge and hostile ones are refused clearly; odd fields are findings."""

from __future__ import annotations

import json
from typing import Any

import pytest

from procedures_lib.judging.records import RecordError, load_record, read_record
from procedures_lib.judging.records.record import MOST_BYTES
from tests.exports.records.samples import complete, found


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
