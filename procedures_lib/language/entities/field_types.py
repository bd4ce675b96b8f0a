"""The kinds of value a field may hold, each read from text with a message for a writer."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, NoReturn

from pydantic import BeforeValidator, PlainSerializer, PlainValidator, WithJsonSchema
from pydantic_core import CoreSchema, core_schema

from procedures_lib.engineering.quantities import (
    Quantity,
    quantity_of,
    read_quantity,
)
from procedures_lib.engineering.threads import Thread, read_thread
from procedures_lib.findings import SlipError
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import Condition, read_condition
from procedures_lib.spelling import suggestion

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*$")
_WHOLE = re.compile(r"[0-9]{1,4}$")
_DECIMAL = re.compile(r"[-−+]?[0-9]{1,9}(?:\.[0-9]{1,9})?$")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}$")
_COUNTED = re.compile(
    r"(?:[x×] ?)?([1-9][0-9]{0,2})(?: ?(?:[x×]|off|pcs?\.?|pieces?|sets?|pairs?))?$", re.I
)
_YEARS = re.compile(r"(\d{4})(?:\s*[-–]\s*(\d{4}))?$")


PACKED_BY = ("length", "volume", "mass")
"""The kinds of quantity by which a supply is packed."""


def refuse(check: str, message: str, hint: str = "", line: int = 0) -> NoReturn:
    """Stop the reading of a field with a finding; line 0 means the line of the value."""
    raise SlipError(check, message, hint, line)


def one(value: Any) -> Scalar:
    """Read one text; refuses anything else."""
    if isinstance(value, Scalar) and value.strip():
        return value
    if isinstance(value, str) and value.strip():
        return Scalar(value)
    if isinstance(value, str):
        refuse("missing-field", "the value is missing", "write it after the colon, or drop the key")
    shape = "list" if isinstance(value, list | tuple) else "mapping"
    refuse("wrong-shape", f"one value is wanted here, not a {shape}", "write a single value")


def many(value: Any) -> list[Any]:
    """Read a list; one text stands for a list of it."""
    if isinstance(value, list | tuple):
        return list(value)
    if isinstance(value, dict):
        refuse("wrong-shape", "a list is wanted here, not a mapping", "write `[one, two]`")
    return [one(value)]


def _text(value: Any) -> str:
    return str(one(value)).strip()


def read_id(value: Any) -> Scalar:
    """Read an id (kebab-case); refuses anything else."""
    word = one(value)
    clean = Scalar(word.strip(), getattr(word, "line", 0))
    if _ID.match(clean):
        return clean
    if "," in clean:
        refuse("wrong-shape", f"`{clean}` is one text", f"write a list: `[{clean}]`", clean.line)
    guess = kebab(clean)
    hint = f"write `{guess}`" if guess else "small letters, digits and hyphens"
    refuse("bad-id", f"`{clean}` is no id: ids are kebab-case", hint, clean.line)


def kebab(text: str) -> str:
    """Return the id nearest to a text, "" when it has no letter or digit that an id may have."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


def _count(value: Any) -> int:
    text = _text(value)
    if not _WHOLE.match(text) or not 1 <= int(text) <= 1000:
        counted = _COUNTED.match(text)
        hint = f"write `{counted[1]}`" if counted else "write a whole number from 1 to 1000"
        refuse("out-of-range", f"`{text}` is no count", hint)
    return int(text)


def _packed(value: Any) -> int | Quantity:
    """Read how much of a thing is in a box: a count, or an amount by length, volume or mass."""
    text = _text(value)
    amount = quantity_of(text)
    if amount is None:
        return _count(value)
    if amount.kind not in PACKED_BY:
        kinds = f"{', '.join(PACKED_BY[:-1])} or {PACKED_BY[-1]}"
        refuse("wrong-dimension", f"`{text}` is no amount of a supply",
               f"write a count, such as 4, or a {kinds}, such as 500 mL")  # fmt: skip
    return amount


def _yes_no(value: Any) -> bool:
    text = _text(value).lower()
    if text in {"true", "yes"}:
        return True
    if text not in {"false", "no"}:
        refuse("wrong-shape", f"`{text}` is neither true nor false", "write `true` or `false`")
    return False


def _date(value: Any) -> datetime.date:
    text = _text(value)
    try:
        if _DATE.match(text):
            return datetime.date.fromisoformat(text)
    except ValueError:
        pass
    refuse("wrong-shape", f"`{text}` is no date", "write year-month-day: `2026-09-14`")


def _condition(value: Any) -> Condition:
    return value if isinstance(value, Condition) else read_condition(_text(value))


@dataclass(frozen=True, slots=True)
class Years:
    """Model years, both ends included."""

    first: int
    last: int

    def __str__(self) -> str:
        return str(self.first) if self.first == self.last else f"{self.first}–{self.last}"


def _years(value: Any) -> Years:
    text = _text(value)
    match = _YEARS.match(text)
    if not match:
        refuse("wrong-shape", f"`{text}` is no range of years", "write `2018-2022`")
    first, last = int(match[1]), int(match[2] or match[1])
    if last < first:
        refuse("bad-tolerance", f"the years run backwards: {text}", f"write `{last}-{first}`")
    return Years(first, last)


@dataclass(frozen=True, slots=True)
class WrittenThread:
    """A thread with its designation as the writer wrote it."""

    written: str
    thread: Thread


def _thread(value: Any) -> WrittenThread:
    text = _text(value)
    return WrittenThread(text, read_thread(text))


def _positions(value: Any) -> tuple[tuple[str, tuple[float, float]], ...]:
    if not isinstance(value, dict):
        refuse("wrong-shape", "positions is a mapping", "write `{lower left: [0, 0], …}`, in mm")
    return tuple((str(name), _point(name, at)) for name, at in value.items())


def _point(name: Scalar, at: Any) -> tuple[float, float]:
    numbers = [str(number).strip() for number in at] if isinstance(at, list) else []
    if len(numbers) != 2 or not all(map(_DECIMAL.match, numbers)):
        refuse("wrong-shape", f"the position of `{name}` is not two numbers",
               f"write `{name}: [x, y]`, in mm", name.line)  # fmt: skip
    x, y = (float(number.replace("−", "-")) for number in numbers)
    if not (abs(x) <= 100_000 and abs(y) <= 100_000):
        refuse("out-of-range", f"the position of `{name}` is off the car", "give mm", name.line)
    return x, y


_COUNTED_SETTING = re.compile(
    r"[0-9]+(?:\s*[–-]\s*[0-9]+)? (?:clicks?|notch(?:es)?|teeth|threads?)$"
)
"""Settings that are counted, not measured."""


def read_setting(value: Any) -> str:
    """Read what something is adjusted to: a quantity, or a number of clicks, notches, threads."""
    text = _text(value)
    if not _COUNTED_SETTING.match(text):
        read_quantity(text)
    return text


class OfKind:
    """Marks a field as a quantity of one kind, as section 8 of the language reads it."""

    def __init__(self, kind: str, *, signed: bool = False) -> None:
        self.kind = kind
        self.signed = signed

    def _read(self, value: Any) -> Quantity:
        if isinstance(value, Quantity):
            return value
        return read_quantity(_text(value), self.kind, signed=self.signed)

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        written = core_schema.plain_serializer_function_ser_schema(lambda amount: amount.written)
        return core_schema.no_info_plain_validator_function(self._read, serialization=written)

    def __get_pydantic_json_schema__(self, _schema: Any, _handler: Any) -> dict[str, Any]:
        return {"type": "string", "pattern": "[0-9]", "x-kind": self.kind}


class OneOf:
    """Marks a field as a word from a closed list; `crush washer` is read as `crush-washer`."""

    def __init__(self, *words: str) -> None:
        self.words = words

    def _read(self, value: Any) -> str:
        text = _text(value)
        if text not in self.words and (joined := "-".join(text.lower().split())) in self.words:
            return joined
        if text not in self.words:
            hint = suggestion(text, self.words)
            refuse("unknown-word", f"`{text}` is not one of the words here", hint)
        return text

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(self, _schema: Any, _handler: Any) -> dict[str, Any]:
        return {"type": "string", "enum": list(self.words)}


def plain(reader: Callable[[Any], Any], schema: dict[str, Any], shown: Any = str) -> Any:
    """Return the marks of a field: how it is read, its JSON Schema, how it is dumped."""
    return (PlainValidator(reader), PlainSerializer(shown), WithJsonSchema(schema))


def _list_of(reader: Callable[[Any], Any]) -> Callable[[Any], tuple[Any, ...]]:
    return lambda value: tuple(reader(item) for item in many(value))


def one_or_more(item: dict[str, Any]) -> dict[str, Any]:
    """Return the JSON Schema of one thing or a list of them."""
    return {"anyOf": [item, {"type": "array", "items": item}]}


_STRING = {"type": ["string", "number", "boolean"]}
"""Any text: `8.8` and `no` are text here, whatever a YAML parser takes them for."""
_ID_SCHEMA = {"type": ["string", "integer"], "pattern": f"^{_ID.pattern}"}
STRINGS, _IDS = one_or_more(_STRING), one_or_more(_ID_SCHEMA)
_COUNT_SCHEMA = {"type": ["integer", "string"], "pattern": "^[0-9]{1,4}$", "minimum": 1,
                 "maximum": 1000}  # fmt: skip
_PACKED_SCHEMA = {"anyOf": [_COUNT_SCHEMA, {"type": "string", "pattern": "[0-9]"}]}
_YES_NO_SCHEMA = {"enum": [True, False, "true", "false", "yes", "no"]}
_DATE_SCHEMA = {"type": "string", "format": "date", "pattern": _DATE.pattern}
_NUMBER_SCHEMA = {"type": ["number", "string"]}
_POSITIONS_SCHEMA = {
    "type": "object",
    "additionalProperties": {
        "type": "array", "items": _NUMBER_SCHEMA, "minItems": 2, "maxItems": 2
    },
}  # fmt: skip


def _as_list(values: tuple[Any, ...]) -> list[str]:
    return [str(value) for value in values]


Text = Annotated[str, BeforeValidator(_text), WithJsonSchema(_STRING)]
SettingText = Annotated[str, BeforeValidator(read_setting), WithJsonSchema(_STRING)]
Texts = Annotated[tuple[Scalar, ...], *plain(_list_of(one), STRINGS, _as_list)]
Ref = Annotated[Scalar, *plain(read_id, _ID_SCHEMA)]
Refs = Annotated[tuple[Scalar, ...], *plain(_list_of(read_id), _IDS, _as_list)]
Count = Annotated[int, *plain(_count, _COUNT_SCHEMA, int)]
Packed = Annotated[
    int | Quantity,
    *plain(_packed, _PACKED_SCHEMA, lambda p: p.written if isinstance(p, Quantity) else p),
]
YesNo = Annotated[bool, *plain(_yes_no, _YES_NO_SCHEMA, bool)]
Date = Annotated[datetime.date, *plain(_date, _DATE_SCHEMA)]
When = Annotated[Condition, *plain(_condition, _STRING)]
YearRange = Annotated[Years, *plain(_years, _STRING)]
ThreadText = Annotated[WrittenThread, *plain(_thread, _STRING, lambda t: t.written)]
Positions = Annotated[
    tuple[tuple[str, tuple[float, float]], ...],
    *plain(_positions, _POSITIONS_SCHEMA, lambda p: [[name, list(at)] for name, at in p]),
]
