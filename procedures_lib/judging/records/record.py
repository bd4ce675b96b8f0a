"""A record of a job, read from its file with a finding for each field that is not right."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, NoReturn

from procedures_lib.findings import Level


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


def warning(path: str, check: str, message: str, hint: str) -> RecordFinding:
    """Return a finding that does not make a record bad."""
    return RecordFinding(path, check, message, hint, Level.WARNING)


_PLAIN = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_LONGEST = 2000
_MOST = 10_000
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{1,6})?)?(Z|[+-]\d{2}:\d{2})")


def member(path: str, key: str) -> str:
    """Return the JSONPath (RFC 9535) of a member of an object."""
    if _PLAIN.fullmatch(key):
        return f"{path}.{key}"
    return f"{path}[{json.dumps(key[:60], ensure_ascii=False)}]"


class Fields:
    """The members of one object; what is wrong with them is noted in ``findings``."""

    def __init__(
        self,
        value: Mapping[str, Any],
        path: str = "$",
        findings: list[RecordFinding] | None = None,
    ) -> None:
        self.value = value
        self.path = path
        self.findings: list[RecordFinding] = [] if findings is None else findings

    def find(self, key: str, check: str, message: str, hint: str) -> None:
        """Note that something is wrong with a member."""
        self.findings.append(RecordFinding(member(self.path, key), check, message, hint))

    def _shape(self, key: str, wanted: str) -> None:
        self.find(key, "wrong-shape", f"`{key[:60]}` has to be {wanted}", f"give {wanted}")

    def text(self, key: str, *, needed: bool = False) -> str:
        """Return a text; "" where there is none, which is a finding if it is needed."""
        value = self.value.get(key)
        if isinstance(value, str) and len(value) <= _LONGEST and (value or not needed):
            return value
        if needed or value is not None:
            self._shape(key, f"a text of up to {_LONGEST} characters")
        return ""

    def whole(self, key: str) -> int:
        """Return a whole number from 1; 0, with a finding, where there is none."""
        value = self.value.get(key)
        if isinstance(value, int) and not isinstance(value, bool) and 0 < value <= _MOST:
            return value
        self._shape(key, "a whole number from 1")
        return 0

    def moment(self, key: str) -> datetime.datetime | None:
        """Return a date and time with its offset (RFC 3339); None where there is none."""
        value = self.value.get(key)
        if value in (None, ""):
            return None
        try:
            if isinstance(value, str) and _MOMENT.fullmatch(value):
                return datetime.datetime.fromisoformat(value)
        except ValueError:
            pass
        self._shape(key, "a time such as 2026-09-14T15:30:00+02:00")
        return None

    def inner(self, key: str) -> Fields:
        """Return the object under a key; an empty one, with a finding, where there is none."""
        value = self.value.get(key)
        if not isinstance(value, dict):
            self._shape(key, "an object")
            value = {}
        return Fields(value, member(self.path, key), self.findings)

    def items(self, key: str, most: int) -> Iterator[Fields]:
        """Yield the objects of a list; a finding for each item that is none."""
        value = self.value.get(key)
        if not isinstance(value, list) or len(value) > most:
            self._shape(key, f"a list of up to {most} items")
            return
        for n, item in enumerate(value):
            path = f"{member(self.path, key)}[{n}]"
            if isinstance(item, dict):
                yield Fields(item, path, self.findings)
            else:
                self.findings.append(
                    RecordFinding(path, "wrong-shape", "this has to be an object", "give an object")
                )


MOST_BYTES = 2_000_000
"""A record of 500 steps with a reading each has about a tenth of this."""

_DEEPEST = 12


class RecordError(ValueError):
    """A file that is no record: the message says why, ``hint`` what to do."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


def load_record(raw: bytes) -> dict[str, Any]:
    """Return the JSON object (RFC 8259) in a file; :class:`RecordError` where there is none.

    Refused are files over :data:`MOST_BYTES`, other encodings than UTF-8, keys that come twice,
    numbers that JSON does not have, and values nested deeper than any record is.
    """
    if len(raw) > MOST_BYTES:
        raise RecordError(
            f"it has more than {MOST_BYTES:,} bytes", "no record is so large: is it the right file?"
        )
    value = _parsed(_text(raw))
    if not isinstance(value, dict):
        raise RecordError("it holds no JSON object", "save the record again from the page")
    _shallow(value)
    return value


def _text(raw: bytes) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise RecordError(
            f"it is not UTF-8: byte {error.start} can't be read", "save the record again"
        ) from None


def _parsed(text: str) -> Any:
    try:
        return json.loads(text, object_pairs_hook=_once, parse_constant=_no_such_number)
    except json.JSONDecodeError as error:
        cut = error.pos >= len(text.rstrip()) or error.msg.startswith("Unterminated string")
        why = "it breaks off" if cut else f"it is not JSON: {error.msg}"
        raise RecordError(
            f"{why}, line {error.lineno}, column {error.colno}",
            "copy the whole file again, or save the record again",
        ) from None
    except RecursionError:
        raise _too_deep() from None
    except ValueError as error:
        if isinstance(error, RecordError):
            raise
        raise RecordError("it has a number that nobody writes", "save the record again") from None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise RecordError(f"the key `{key[:40]}` comes twice", "leave the right one")
        found[key] = value
    return found


def _no_such_number(text: str) -> NoReturn:
    raise RecordError(f"`{text}` is no number of JSON", "write a number, or leave it out")


def _too_deep() -> RecordError:
    return RecordError("it is nested deeper than any record", "save the record again from the page")


def _shallow(value: Any) -> None:
    waiting = [(value, 1)]
    while waiting:
        inner, depth = waiting.pop()
        if depth > _DEEPEST:
            raise _too_deep()
        if isinstance(inner, dict | list):
            each = inner.values() if isinstance(inner, dict) else inner
            waiting += [(one, depth + 1) for one in each]


FORMAT = 1
MOST_ITEMS = 5000
"""More steps or readings than any procedure has."""


@dataclass(frozen=True, slots=True)
class StepDone:
    """A step that was ticked; ``done`` is when, None where that can't be told."""

    path: str
    number: int
    done: datetime.datetime | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read at one stage of one joint, as it was typed.

    ``value`` and ``unit`` are text: whether they can be read is for the check to say.
    """

    path: str
    step: int
    joint: str
    stage: int
    value: str
    unit: str
    wrench: str
    initials: str
    at: datetime.datetime | None


@dataclass(frozen=True, slots=True)
class Record:
    """A job on one car: which procedure, which revision, which car, what was done and read."""

    procedure: str
    revision: str
    digest: str
    car: Mapping[str, str]
    steps: tuple[StepDone, ...] = ()
    readings: tuple[Reading, ...] = ()


def read_record(value: Mapping[str, Any]) -> tuple[Record | None, list[RecordFinding]]:
    """Return the record in a JSON object; None when it does not say what it is a record of.

    An item that can't be read is a finding, and the others are used.
    """
    fields = Fields(value)
    if value.get("format") != FORMAT or isinstance(value.get("format"), bool):
        fields.find(
            "format",
            "unknown-format",
            "this is no record in format 1",
            "save it from the page, or with the version of this tool that made it",
        )
        return None, fields.findings
    procedure, revision, digest = (
        fields.text(key, needed=True) for key in ("procedure", "revision", "digest")
    )
    if fields.findings:
        return None, fields.findings
    stated = fields.inner("car")
    car = {str(option): stated.text(option) for option in stated.value}
    steps, readings = _steps(fields), _readings(fields)
    return Record(procedure, revision, digest, car, steps, readings), fields.findings


def _steps(fields: Fields) -> tuple[StepDone, ...]:
    found = []
    for item in fields.items("steps", MOST_ITEMS):
        number, done = item.whole("number"), item.moment("done")
        if number:
            found.append(StepDone(item.path, number, done))
    return tuple(found)


def _readings(fields: Fields) -> tuple[Reading, ...]:
    return tuple(_reading(item) for item in fields.items("readings", MOST_ITEMS))


def _reading(item: Fields) -> Reading:
    return Reading(
        path=item.path,
        step=item.whole("step"),
        joint=item.text("joint", needed=True),
        stage=item.whole("stage"),
        value=item.text("value").strip(),
        unit=item.text("unit").strip(),
        wrench=item.text("wrench").strip(),
        initials=item.text("initials").strip(),
        at=item.moment("at"),
    )


RECORD_SCHEMA = "schema/record.json"
"""Where the site has it, below its root."""


def record_schema_text() -> str:
    """Return the JSON Schema (2020-12) of a record."""
    return files(__package__).joinpath("record.schema.json").read_text(encoding="utf-8")
