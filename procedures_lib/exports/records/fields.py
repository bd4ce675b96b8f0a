"""Fields of a JSON object, each of the type it has to have, or a finding at its path."""

from __future__ import annotations

import datetime
import json
import re
from typing import TYPE_CHECKING, Any

from procedures_lib.exports.records.saying import RecordFinding

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

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
