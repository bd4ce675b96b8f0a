"""From the bytes of a record file to a JSON value, with hostile and broken files refused."""

from __future__ import annotations

import json
from typing import Any, NoReturn

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
