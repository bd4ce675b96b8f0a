"""The journal of the archive: one line for whatever is done to it, and none is ever changed.

Each line carries a hash over itself and the line before, so that one that was edited, taken out or
put in shows.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from procedures_lib.fronts.cli.archiving.durable import append_line

ACTS = ("add", "forget", "delete")
_LONGEST = 4096


@dataclass(frozen=True, slots=True)
class Line:
    """One line: a file was added, rewritten without its customer as ``now``, or deleted.

    ``hash`` is the SHA-256 of the file as it is after that, ``at`` when it was done; ``job`` what
    job it was, for the other records of it that come after a customer was taken out.
    """

    act: str
    file: str
    hash: str = ""
    now: str = ""
    at: str = ""
    job: str = ""


@dataclass(frozen=True, slots=True)
class Fault:
    """A line of the journal that is not right: its number, from 1, and why."""

    number: int
    why: str


@dataclass(frozen=True, slots=True)
class Read:
    """What was read from an offset on: the lines, the faults, where whole lines end, the last sum.

    ``half`` are the bytes behind the last line break.
    """

    lines: tuple[Line, ...]
    faults: tuple[Fault, ...]
    end: int
    sum: str
    half: bytes = b""


class Journal:
    """The journal in a file."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @property
    def size(self) -> int:
        """How many bytes it has; 0 where there is none."""
        return self.path.stat().st_size if self.path.exists() else 0

    def begin(self) -> None:
        """Make the file, without a line, where there is none."""
        self.path.touch()

    def append(self, line: Line) -> None:
        """Add a line; a half one before it, of a writer that was stopped, is cut off."""
        self.mend()
        stamped = _stamped(line)
        body = {**{k: v for k, v in asdict(stamped).items() if v}}
        body["sum"] = _sum(self.sum_at(self.size), body)
        append_line(self.path, _text(body).encode() + b"\n")

    def mend(self) -> bool:
        """Cut off a half line at the end; tell whether there was one. What it was about is a file.

        A line is written after its file: nothing but the line itself is lost.
        """
        size = self.size
        start = self._line_start(size)
        if start == size:
            return False
        os.truncate(self.path, start)
        return True

    def sum_at(self, end: int) -> str:
        """Return the sum of the line that ends at an offset; "" at the beginning, "?" if none."""
        if not end:
            return ""
        with self.path.open("rb") as file:
            begin = max(0, end - _LONGEST)
            file.seek(begin)
            part = file.read(end - begin)
        if not part.endswith(b"\n"):
            return "?"
        body = _body(part[:-1].rpartition(b"\n")[2])
        return str(body.get("sum", "?")) if body else "?"

    def read(self, offset: int = 0) -> Read:
        """Read the lines from an offset on, which has to be the end of one."""
        if offset > self.size or not self.path.exists():
            return Read((), (), 0, "")
        before = self.sum_at(offset)
        with self.path.open("rb") as file:
            file.seek(offset)
            whole, broken, half = file.read().rpartition(b"\n")
        lines: list[Line] = []
        faults: list[Fault] = []
        for number, raw in enumerate(whole.split(b"\n") if broken else (), start=1):
            line, total, why = _line(raw, before)
            lines += [line] if line else []
            faults += [Fault(number, why)] if why else []
            before = total
        return Read(tuple(lines), tuple(faults), offset + len(whole + broken), before, half)

    def _line_start(self, size: int) -> int:
        """Where the line begins that has no end yet; the size itself where there is none."""
        if not size:
            return 0
        with self.path.open("rb") as file:
            begin = max(0, size - 2 * _LONGEST)
            file.seek(begin)
            part = file.read()
        return size if part.endswith(b"\n") else begin + part.rfind(b"\n") + 1


def _stamped(line: Line) -> Line:
    if line.at:
        return line
    at = datetime.datetime.now().astimezone().isoformat(timespec="seconds")
    return replace(line, at=at)


def _text(body: dict[str, Any]) -> str:
    return json.dumps(body, ensure_ascii=False, separators=(",", ":"))


def _sum(before: str, body: dict[str, Any]) -> str:
    bare = {key: value for key, value in body.items() if key != "sum"}
    return hashlib.sha256(f"{before}\n{_text(bare)}".encode()).hexdigest()[:16]


def _body(raw: bytes) -> dict[str, Any] | None:
    try:
        value = json.loads(raw)
    except ValueError:
        return None
    return value if isinstance(value, dict) else None


def _line(raw: bytes, before: str) -> tuple[Line | None, str, str]:
    """Return a line, its sum, and what is wrong with it."""
    body = _body(raw)
    if body is None:
        return None, "?", "it can't be read"
    texts = {key: value for key, value in body.items() if isinstance(value, str)}
    total = texts.pop("sum", "?")
    if texts.get("act") not in ACTS or not texts.get("file"):
        return None, total, "it says nothing that is known"
    line = Line(**{key: texts.get(key, "") for key in Line.__slots__})
    if before == "?":
        return line, total, ""  # told of the line before
    wrong = "it was changed, or a line before it was taken out or put in"
    return line, total, "" if total == _sum(before, body) else wrong


def acts_in(lines: tuple[Line, ...]) -> Iterator[tuple[str, Line]]:
    """Yield, for each file that the journal leaves in the archive, its name and its last line."""
    held: dict[str, Line] = {}
    for line in lines:
        held.pop(line.file, None)
        if line.act != "delete":
            held[line.now or line.file] = line
    yield from held.items()
