"""A record of a job, read from its file with a finding for each field that is not right."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Annotated, Any, NoReturn, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, TypeAdapter, ValidationError

from procedures_lib.findings import Level

MOST_BYTES = 8_000_000
"""A record with as many photographs as a page lets a job have is below this."""
MOST_TEXT = 2_000_000
"""The bytes without photographs: 500 steps with a reading each have about a tenth of this."""

_DEEPEST = 12
_LONG_BASE64 = re.compile(rb'"[A-Za-z0-9+/]{1000,}={0,2}"')


class RecordError(ValueError):
    """A file that is no record: the message says why, ``hint`` what to do."""

    def __init__(self, message: str, hint: str = "save the record again from the page") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


def load_record(raw: bytes, most: int = MOST_BYTES) -> dict[str, Any]:
    """Return the JSON object (RFC 8259) in a file; :class:`RecordError` where there is none.

    Refused are files over ``most`` bytes, or over :data:`MOST_TEXT` without their photographs,
    other encodings than UTF-8, keys that come twice, numbers that JSON does not have, and values
    nested deeper than any record is.
    """
    _refuse_large(raw, most)
    try:
        text = raw.decode("utf-8-sig")
        value = json.loads(
            text, object_pairs_hook=_once, parse_constant=_no_such_number, parse_int=_whole_number
        )
        depth = _depth(value)
    except RecursionError:
        depth = _DEEPEST + 1
    except UnicodeDecodeError as error:
        raise RecordError(f"it is not UTF-8: byte {error.start} can't be read") from None
    except json.JSONDecodeError as error:
        raise _broken(error) from None
    if depth > _DEEPEST:
        raise RecordError("it is nested deeper than any record")
    if not isinstance(value, dict):
        raise RecordError("it holds no JSON object")
    return value


def _refuse_large(raw: bytes, most: int) -> None:
    """Refuse what would take all memory as values; a photograph is one value, and takes little."""
    hint = "look whether it is the right file: no record is so large"
    if len(raw) > most:
        raise RecordError(f"it has more than {most:,} bytes", hint)
    most_text = MOST_TEXT * most // MOST_BYTES
    if len(raw) > most_text and len(_LONG_BASE64.sub(b"", raw)) > most_text:
        raise RecordError(f"without photographs it has more than {most_text:,} bytes", hint)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise RecordError(f"the key `{key[:40]}` comes twice", "leave the right one")
        found[key] = value
    return found


def _no_such_number(text: str) -> NoReturn:
    raise RecordError(f"`{text}` is no number of JSON", "write a number, or leave it out")


def _whole_number(text: str) -> int:
    """A number of so many digits that Python does not read them (4300) is no one's step."""
    try:
        return int(text)
    except ValueError:
        raise RecordError("it has a number that nobody writes") from None


def _depth(value: Any) -> int:
    inner = value.values() if isinstance(value, dict) else value
    return 1 + max(map(_depth, inner), default=0) if isinstance(value, dict | list) else 1


def _broken(error: json.JSONDecodeError) -> RecordError:
    cut = error.pos >= len(error.doc.rstrip()) or error.msg.startswith("Unterminated string")
    why = "it breaks off" if cut else f"it is not JSON: {error.msg}"
    hint = "copy the whole file again, or save the record again"
    return RecordError(f"{why}, line {error.lineno}, column {error.colno}", hint)


@dataclass(frozen=True, slots=True)
class RecordFinding:
    """One thing that is wrong with a record.

    ``path`` is a JSONPath (RFC 9535) to the value, ``$.readings[3].value``; ``check`` a stable
    kebab-case name; ``hint`` says what to do about it.
    """

    path: str
    check: str
    message: str
    hint: str
    level: Level = Level.ERROR


_PLAIN = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


def member(path: str, key: str) -> str:
    """Return the JSONPath (RFC 9535) of a member of an object."""
    if _PLAIN.fullmatch(key):
        return f"{path}.{key}"
    return f"{path}[{json.dumps(key[:60], ensure_ascii=False)}]"


FORMAT = 1
MOST_ITEMS = 5000
"""More steps or readings than any procedure has."""
MOST_REMARKS = 50
MOST_REMARK_SIGNS = 300
"""What a page lets a job have, and a remark say (in characters)."""

_LONGEST, _MOST = 2000, 10_000
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{1,6})?)?(Z|[+-]\d{2}:\d{2})")


def _text(value: Any) -> Any:
    return value.strip() if isinstance(value, str) else "" if value is None else value


def _none_as_empty(value: Any) -> Any:
    return [] if value is None else value


def _moment(value: Any) -> datetime.datetime | None:
    if value in (None, ""):
        return None
    if not isinstance(value, str) or not _MOMENT.fullmatch(value):
        raise ValueError("no moment")
    found = datetime.datetime.fromisoformat(value)
    if not 1 < found.year < 9999:  # at either end an offset leads out of the calendar
        raise ValueError("no moment")
    return found


_A_NAME = f"a text of 1 to {_LONGEST} characters"
_A_TEXT = f"a text of up to {_LONGEST} characters"
_A_LIST = f"a list of up to {MOST_ITEMS} items"
_A_MOMENT = "a time such as 2026-09-14T15:30:00+02:00"
_A_LINE = f"a text of up to {MOST_REMARK_SIGNS} characters"
_A_FEW = f"a list of up to {MOST_REMARKS} items"

# The description of a type is what a finding says that a value has to be.
Name = Annotated[str, Field(description=_A_NAME, min_length=1, max_length=_LONGEST)]
Text = Annotated[str, Field(description=_A_TEXT, max_length=_LONGEST), BeforeValidator(_text)]
Whole = Annotated[int, Field(description=f"a whole number from 1 to {_MOST}", ge=1, le=_MOST)]
Moment = Annotated[datetime.datetime | None, Field(description=_A_MOMENT), BeforeValidator(_moment)]
Items = Annotated[list[Any], Field(description=_A_LIST, max_length=MOST_ITEMS)]
_Empty = BeforeValidator(_none_as_empty)
OptionalItems = Annotated[list[Any], Field(description=_A_LIST, max_length=MOST_ITEMS), _Empty]
Members = Annotated[dict[str, Any], Field(description="an object")]
PictureMembers = Annotated[dict[str, Any] | None, Field(description="an object")]
Line = Annotated[
    str, Field(description=_A_LINE, max_length=MOST_REMARK_SIGNS), BeforeValidator(_text)
]
StageItems = Annotated[Items, _Empty]
RemarkItems = Annotated[list[Any], Field(description=_A_FEW, max_length=MOST_REMARKS), _Empty]


class _Part(BaseModel):
    """An object in a record, at ``path``; members that are not among its fields are passed over."""

    model_config = ConfigDict(frozen=True, strict=True)

    path: str


class StepDone(_Part):
    """A step that was ticked; ``done`` is when, None where that can't be told."""

    number: Whole
    done: Moment = None


class Reading(_Part):
    """What was read at one stage of one joint, as it was typed.

    ``value`` and ``unit`` are text: whether they can be read is for the check to say.
    """

    step: Whole
    joint: Name
    stage: Whole
    value: Text = ""
    unit: Text = ""
    wrench: Text = ""
    initials: Text = ""
    at: Moment = None


class StageDone(_Part):
    """A stage that was ticked and has no number; ``done`` is when, None where that can't be told.

    It may be one of those with nothing to read: by hand, snug, backed off, in words.
    """

    step: Whole
    joint: Name
    stage: Whole
    done: Moment = None


class Remark(_Part):
    """What somebody at the car says of a step, as it was typed; ``text`` may be empty.

    ``kind`` is one of those in ``remarks.py``, ``picture`` an object with ``type`` and ``data``:
    whether they are right is for the check to say.
    """

    step: Whole
    kind: Name
    text: Line = ""
    at: Moment = None
    picture: PictureMembers = None


class HandOver(_Part):
    """Another phone took the job over; ``step`` is the one that it went on with."""

    step: Whole
    at: Moment = None


class JobSheet(_Part):
    """A record whose inner objects are not read yet."""

    procedure: Name
    revision: Name
    digest: Name
    vehicle: Text = ""
    begun: Moment = None
    saved: Moment = None
    car: Members = {}
    steps: Items = []
    readings: Items = []
    stages: StageItems = []
    remarks: RemarkItems = []
    handovers: OptionalItems = []


@dataclass(frozen=True, slots=True)
class Record:
    """A job on one car: which procedure, revision and car, what was done, read and remarked."""

    procedure: str
    revision: str
    digest: str
    car: Mapping[str, str]
    vehicle: str = ""
    begun: datetime.datetime | None = None
    saved: datetime.datetime | None = None
    steps: tuple[StepDone, ...] = ()
    readings: tuple[Reading, ...] = ()
    remarks: tuple[Remark, ...] = ()
    stages: tuple[StageDone, ...] = ()
    handovers: tuple[HandOver, ...] = ()


P = TypeVar("P", bound=_Part)
Findings = list[RecordFinding]


def read_record(value: Mapping[str, Any]) -> tuple[Record | None, Findings]:
    """Return the record in a JSON object; None when it does not say what it is a record of.

    An item that can't be read is a finding, and the others are used.
    """
    if value.get("format") != FORMAT or isinstance(value.get("format"), bool):
        hint = "save it from the page, or with the version of this tool that made it"
        message = f"this is no record in format {FORMAT}"
        return None, [RecordFinding("$.format", "unknown-format", message, hint)]
    findings: Findings = []
    job = _part(JobSheet, value, "$", findings)
    if job is None:
        return None, findings
    car = _options(job.car, findings)
    steps = _parts(StepDone, job.steps, "$.steps", findings)
    readings = _parts(Reading, job.readings, "$.readings", findings)
    stages = _parts(StageDone, job.stages, "$.stages", findings)
    remarks = _parts(Remark, job.remarks, "$.remarks", findings)
    handed = _parts(HandOver, job.handovers, "$.handovers", findings)
    made = Record(
        job.procedure, job.revision, job.digest, car, job.vehicle, job.begun, job.saved,
        steps, readings, remarks, stages, handed,
    )  # fmt: skip
    return made, findings


def _parts(kind: type[P], items: list[Any], path: str, findings: Findings) -> tuple[P, ...]:
    found = (_part(kind, item, f"{path}[{n}]", findings) for n, item in enumerate(items))
    return tuple(part for part in found if part is not None)


def _part(kind: type[P], value: Any, path: str, findings: Findings) -> P | None:
    """Return an object of a record; None when it lacks what it can't be without.

    Each member that is wrong is a finding. One that may be left out counts as left out then.
    """
    if not isinstance(value, dict):
        message, hint = "this has to be an object", "give an object"
        findings.append(RecordFinding(path, "wrong-shape", message, hint))
        return None
    fields = kind.model_fields
    members = {**dict.fromkeys(fields), **value, "path": path}
    try:
        return kind.model_validate(members)
    except ValidationError as error:
        wrong = dict.fromkeys(str(each["loc"][0]) for each in error.errors())
    findings += (_wrong_shape(path, key, fields[key].description or "") for key in wrong)
    if any(fields[key].is_required() for key in wrong):
        return None
    return kind.model_validate({key: v for key, v in members.items() if key not in wrong})


_OPTION = TypeAdapter(Text, config=ConfigDict(strict=True))


def _options(value: dict[str, Any], findings: Findings) -> dict[str, str]:
    """Return the options of a car; "" for the value of one that is wrong."""
    found = dict.fromkeys(value, "")
    for option, text in value.items():
        try:
            found[option] = _OPTION.validate_python(text)
        except ValidationError:
            findings.append(_wrong_shape("$.car", option, _A_TEXT))
    return found


def _wrong_shape(path: str, key: str, wanted: str) -> RecordFinding:
    message = f"`{key[:60]}` has to be {wanted}"
    return RecordFinding(member(path, key), "wrong-shape", message, f"give {wanted}")


RECORD_SCHEMA = "schema/record.json"
"""Where the site has it, below its root."""


def record_schema_text() -> str:
    """Return the JSON Schema (2020-12) of a record."""
    return files(__package__).joinpath("record.schema.json").read_text(encoding="utf-8")
