"""Odd quantities and other short texts, records, pulls and the shop's settings."""

from __future__ import annotations

import io
import json
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from procedures_lib.engineering.dyno.pull import PullError
from procedures_lib.engineering.dyno.pull_csv import read_pull
from procedures_lib.engineering.quantities import (
    QuantityError,
    customary,
    find_quantities,
    read_quantity,
    with_conversion,
)
from procedures_lib.engineering.quantities.units import all_spellings
from procedures_lib.engineering.threads import ThreadError, read_thread
from procedures_lib.engineering.tightening import read_stage
from procedures_lib.engineering.tightening.stage import courses
from procedures_lib.findings import SlipError
from procedures_lib.fronts.tables.words import stages_text
from procedures_lib.judging.records.record import RecordError, load_record, read_record
from procedures_lib.judging.records.record_check import check_record
from procedures_lib.language.entities.how_tight import read_how_tight
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ConditionError, read_condition
from procedures_lib.manual.shop import read_shop
from tests.fuzz.edits import EDITS, Edit, edited
from tests.fuzz.properties import lines_in, told_well
from tests.records.samples import complete, shop_manual

_PROJECT = Path(__file__).resolve().parents[2]
_SIGNS = "0123456789 .,/±–-−+eE°NmlbftinkgcxX%#to½¼()·*\u00a0⁄'\"‐１２Ωμ"
_UNITS = st.sampled_from(sorted(all_spellings()))
_NUMBERS = st.one_of(
    st.integers(-10, 10**13).map(str),
    st.decimals(allow_nan=True, allow_infinity=True).map(str),
    st.tuples(st.integers(0, 99), st.integers(0, 99)).map(lambda n: f"{n[0]}/{n[1]}"),
    st.sampled_from(
        [
            "1 1/2",
            "1-1/2",
            "½",
            "1,000",
            "1,5",
            ".5",
            "5.",
            "1e999999999",
            "1e-9",
            "0E1000000000000000000",
        ]
    ),
)
_JOINTS = st.sampled_from(["", " ± ", "±", "+/-", "–", "-", " to ", " - "])
AMOUNTS = st.one_of(
    st.text(alphabet=_SIGNS, max_size=40),
    st.text(max_size=100),
    st.tuples(_NUMBERS, _JOINTS, _NUMBERS, st.just(" "), _UNITS).map("".join),
    st.tuples(_NUMBERS, _UNITS, _JOINTS, _NUMBERS, _UNITS).map("".join),
    st.tuples(_NUMBERS, st.just(" "), _UNITS).map("".join),
)


def told(*words: str) -> None:
    """What is refused says why, and what to write instead."""
    assert all(word.strip() for word in words), words


def stands(line: int, raw: bytes) -> None:
    """A line is one of the file's."""
    assert 1 <= line <= raw.count(b"\n") + 1, line


def quantity(text: str) -> None:
    """Read or refused with a hint; what is shown can be read, and is the same."""
    for found in find_quantities(text):
        assert text[found.start : found.end] == found.text
    for signed in (False, True):
        try:
            read = read_quantity(text, signed=signed)
        except QuantityError as error:
            told(error.message, error.hint)
            continue
        again = read_quantity(read.tidy, signed=signed)
        assert (again.value, again.low, again.high, again.unit) == (
            read.value, read.low, read.high, read.unit,
        )  # fmt: skip
        assert again.tidy == read.tidy
        assert with_conversion(read)
        customary(read)


_SHORT = st.text(alphabet="()=, andornt-transmission=manual0123456789°+", max_size=60)
_FORM = st.sampled_from(
    ["{} %", "{}%", "stretch {}", "back off {}", "back off at most {}", "{} or next slot",
     "{}, or the next slot", "next slot, at most {}", "drag {}", "+{}", "until {}", "see {}"]
)  # fmt: skip
STAGES = st.tuples(_FORM, st.one_of(AMOUNTS, _NUMBERS)).map(lambda drawn: drawn[0].format(drawn[1]))
"""Stages in each of their forms, with odd amounts in them."""

_DEEP = st.sampled_from(["(", "not "]).map(lambda word: word * 5000)
SHORT = st.one_of(AMOUNTS, STAGES, _SHORT, st.text(max_size=300), _DEEP)


_NAMES = st.one_of(st.none(), st.text(max_size=9), st.lists(st.text(max_size=3), max_size=3))
_ONE = st.one_of(
    STAGES,
    st.dictionaries(st.sampled_from(["stage", "order", "only", "until", "see", "x"]),
                    st.one_of(STAGES, _NAMES), max_size=3),
)  # fmt: skip
_LISTED = st.one_of(_ONE, st.lists(_ONE, max_size=4))
TIGHTEN = st.one_of(_LISTED, st.dictionaries(st.one_of(st.text(max_size=20), _SHORT,
    st.sampled_from(["a=b", "not a=b", "a in [b, c]"])), _LISTED, max_size=3))  # fmt: skip
"""What may stand under `tighten`, most of it wrong."""


def tighten(value: Any) -> None:
    """How tight a joint is: read and shown, or refused with what to write instead."""
    try:
        how = read_how_tight(_scalars(value))
    except SlipError as error:
        told(error.check, error.message)
        return
    for when, stages in how.by_condition:
        assert stages, when
        assert stages_text(stages)
        assert stages_text(stages, "lbf·in")
        assert all(course for course in courses(stages))
    assert bool(how) == bool(how.written()) == bool(str(how))


def _scalars(value: Any) -> Any:
    """A value as the reader of YAML gives it: every text with its line."""
    if isinstance(value, dict):
        return {_scalars(key): _scalars(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_scalars(each) for each in value]
    return Scalar(value or "", 1)


def short_text(text: str) -> None:
    """A condition, a stage, a thread: read, or refused with what is wrong."""
    for read, refusal in (
        (read_condition, ConditionError),
        (read_stage, QuantityError),
        (read_thread, ThreadError),
    ):
        try:
            assert read(text) is not None
        except refusal as error:
            told(str(error))


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=9), inner, max_size=4)
    ),
    max_leaves=12,
)


@st.composite
def records(draw: st.DrawFn) -> bytes:
    """A complete record, some of its values changed for odd ones, and some of its bytes."""
    record: Any = complete()
    for _ in range(draw(st.integers(0, 4))):
        _change(draw, record)
    raw = json.dumps(record).encode()
    for _ in range(draw(st.integers(0, 2))):
        at = draw(st.integers(0, len(raw)))
        raw = raw[:at] + draw(st.binary(max_size=3)) + raw[at + draw(st.integers(0, 3)) :]
    return raw


def _change(draw: st.DrawFn, value: Any) -> None:
    keys = list(value) if isinstance(value, dict) else list(range(len(value)))
    if not keys:
        return
    key = draw(st.sampled_from(keys))
    if isinstance(value[key], dict | list) and draw(st.booleans()):
        _change(draw, value[key])
    else:
        value[key] = draw(_JSON | AMOUNTS)


def record(raw: bytes) -> None:
    """A record file: refused with a hint, or read and checked, each finding with its place."""
    try:
        value = load_record(raw)
    except RecordError as error:
        told(error.hint)
        return
    found, findings = read_record(value)
    findings = [*findings, *(check_record(found, shop_manual()) if found else ())]
    for finding in findings:
        assert finding.path.startswith("$"), finding
        assert finding.message.strip(), finding
        assert finding.hint.strip(), finding


def _changed(path: Path) -> st.SearchStrategy[bytes]:
    """The file after some edits of lines, and some odd bytes."""
    text = path.read_text(encoding="utf-8")
    return st.tuples(st.lists(EDITS, max_size=4), st.binary(max_size=2), st.integers(0, 99999)).map(
        lambda drawn: _with_bytes(edited(text, text, tuple[Edit, ...](drawn[0])), *drawn[1:])
    )


def _with_bytes(text: str, odd: bytes, at: int) -> bytes:
    raw = text.encode()
    at %= len(raw) + 1
    return raw[:at] + odd + raw[at:]


PULLS = _changed(_PROJECT / "docs" / "results" / "data" / "finch-tf-220-before-1.csv") | st.binary(
    max_size=90
)
SHOPS = _changed(_PROJECT / "conf" / "shop.toml") | st.binary(max_size=90)


def pull(raw: bytes) -> None:
    """A pull: refused at a line that it has, or read with finite numbers."""
    try:
        read, rows = read_pull(line.decode() for line in io.BytesIO(raw))
    except PullError as error:
        told(error.hint)
        stands(error.line, raw)
    else:
        assert read is not None
        assert rows.lines


def shop(raw: bytes) -> None:
    """The shop's settings: what is wrong stands at a line that the file has."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shop.toml"
        path.write_bytes(raw)
        _, findings = read_shop(path)
    told_well(findings, {"shop.toml": lines_in(raw)})
