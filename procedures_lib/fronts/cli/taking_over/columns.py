"""Columns: what each column of a table holds, by its heading, and by its content without one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.quantities import QuantityError, quantity_of, read_quantity
from procedures_lib.engineering.quantities.units import unit_spelled
from procedures_lib.engineering.threads import ThreadError, read_thread
from procedures_lib.fronts.cli.taking_over.sheet import Row

_IN_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_SIGNS = re.compile(r"[\s_./:;,*-]+")
_SAMPLE = 200
_MOST = 0.6
_LONGEST_HEADING = 40
_CLASSES = re.compile(r"(?:[4-6]\.[68]|8\.8|9\.8|10\.9|12\.9|A[24]-[5-8]0|grade \d)", re.I)
_SPEC = re.compile(
    r"(?:sae )?\d{1,2}w-?\d{2,3}\b.*|dot ?[345].*|.*\b(?:glycol|gl-\d|atf|api s[a-z]|acea)\b.*",
    re.I,
)
_PART_NUMBER = re.compile(r"(?=.*\d)[A-Za-z0-9]+(?:[-./ ][A-Za-z0-9]+){0,5}")
_DIGIT = re.compile(r"\d")
_WORDS = re.compile(r"[^\W\d_]{3,}")

NAMES = ("name", "tool-name", "fluid-name", "step")
"""The roles of which one names the thing of a row."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: where it stands, its heading, its role ("" when it has none).

    ``unit`` is the one that the heading gives; ``by`` says whether heading or content decided.
    """

    index: int
    heading: str
    role: str
    unit: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class Heading:
    """What a heading says: a role, and a unit."""

    role: str
    unit: str = ""


_NO_HEADING = Heading("")


@cache
def _roles() -> dict[str, str]:
    return {_key(row["heading"]): row["role"] for row in csv_rows(__package__, "headings.csv")}


def _key(text: str) -> str:
    return _SIGNS.sub(" ", text.casefold()).strip()


@lru_cache(maxsize=4096)
def heading_of(text: str) -> Heading:
    """Return what a text says as a heading: ``Torque (Nm)``, ``Part no.``, ``ft-lb``."""
    if not text or len(text) > _LONGEST_HEADING:
        return _NO_HEADING
    bracket = _IN_BRACKETS.search(text)
    words, unit = _without_unit(_IN_BRACKETS.sub(" ", text))
    unit = unit or (_unit(bracket[1]) if bracket else "")
    role = _roles().get(_key(words)) or _roles().get(_key(text)) or ""
    by_unit = "" if _DIGIT.search(words) else _BY_KIND.get(_kind(unit), "")
    if by_unit and role in ("", "spec", "count"):
        role = by_unit
    return Heading(role, unit) if role else _NO_HEADING


def _without_unit(text: str) -> tuple[str, str]:
    """Part a heading from the unit at its end: ``Torque in Nm``, ``Torque, ft-lb``."""
    words = text.split()
    for n in range(len(words)):
        if found := _unit(" ".join(words[n:])):
            return " ".join(words[:n]).removesuffix(" in").rstrip(" ,:-"), found
    return text, ""


def loosely(text: str) -> Heading:
    """Return what a text says as a heading by one word of it: ``Fastener location``."""
    said = heading_of(text)
    words = _key(text).split()
    if said.role or len(words) > _MOST_WORDS or any(sign.isdigit() for sign in text):
        return said
    found = (_KEYWORDS.get(word, "") for word in reversed(words))
    role = next(filter(None, found), "")
    return Heading(role, said.unit) if role else said


_MOST_WORDS = 4
_KEYWORDS = {
    "torque": "torque", "thread": "thread", "qty": "count", "quantity": "count", "pcs": "count",
    "description": "name", "fastener": "name", "name": "name", "fluid": "fluid-name",
    "tool": "tool-name", "capacity": "volume", "volume": "volume", "grade": "class",
    "class": "class", "socket": "head", "head": "head", "instruction": "step", "note": "note",
    "notes": "note", "remarks": "note", "spec": "spec", "source": "source",
}  # fmt: skip
"""Words of which one says what a column holds (common practice, no source)."""


_BY_KIND = {"torque": "torque", "volume": "volume"}


def _unit(text: str) -> str:
    found = unit_spelled(text.strip())
    return text.strip() if found is not None or _is_ambiguous(text.strip()) else ""


def _kind(unit: str) -> str:
    found = unit_spelled(unit)
    return found.kind if found is not None else ""


def _is_ambiguous(unit: str) -> bool:
    return unit.casefold() in {"lb", "lbs", "pounds", "qt", "qts", "gal", "gallons", "quarts"}


def is_heading_row(row: Row, reads: Callable[[str], Heading] = heading_of) -> bool:
    """Tell whether a row is the heading of a table: two roles or more, in half of its cells."""
    texts = [cell.text for cell in row.cells if cell]
    if len(texts) < 2 or any(cell.number or cell.doubt for cell in row.cells):
        return False
    roles = [found.role for text in texts if (found := reads(text)).role]
    return len(set(roles)) >= 2 and len(roles) * 2 >= len(texts)


def columns_of(heading: Row | None, rows: Sequence[Row], span: range) -> tuple[Column, ...]:
    """Return the columns of a table that have anything in them, each with its role.

    ``span`` is where the table stands. The first of two columns of a role has it; of torques, all.
    """
    found: list[Column] = []
    sample = rows[:_SAMPLE]
    for n in span:
        text = heading.cell(n).text if heading else ""
        if not text and not any(row.cell(n) for row in rows):
            continue
        said = loosely(text)
        role = said.role if _is_free(said.role, found) else ""
        if not role and said.role in NAMES and _is_free("note", found):
            role = "note"
        if role in NAMES and not any(map(_is_name, _texts(n, sample))):
            role = ""
        if not role and _is_running(_texts(n, sample)):
            role = "position"
        found.append(
            Column(
                n,
                text,
                role,
                said.unit,
                "heading" if said.role and role != "position" else "content",
            )
        )
    return tuple(_by_content([each if each.role else _bare(each) for each in found], sample))


def _bare(column: Column) -> Column:
    return Column(column.index, column.heading, "", column.unit)


def _texts(column: int, sample: Sequence[Row]) -> list[str]:
    return [text for row in sample if (text := row.cell(column).text)]


def _is_running(texts: Sequence[str]) -> bool:
    """Tell whether these are the numbers of the rows: 1, 2, 3 …"""
    return len(texts) > 2 and list(texts) == [str(n) for n in range(1, len(texts) + 1)]


def _is_free(role: str, found: Iterable[Column]) -> bool:
    return role == "torque" or all(each.role != role for each in found)


def _by_content(columns: list[Column], sample: Sequence[Row]) -> list[Column]:
    """Give a role to the columns without one, going by what stands in them."""
    for role, fits in _CONTENT:
        for n, column in enumerate(columns):
            if column.role or not _is_free(role, columns) or _is_shut(role, columns):
                continue
            texts = _texts(column.index, sample)
            if texts and sum(map(fits, texts)) >= _MOST * len(texts):
                columns[n] = Column(column.index, column.heading, role, column.unit, "content")
    return columns


def _is_shut(role: str, columns: Iterable[Column]) -> bool:
    """Tell whether the table has that already in another word: a name is one of four."""
    return role in NAMES and any(each.role in NAMES for each in columns)


def _is_torque(text: str) -> bool:
    return _reads(text, "torque")


def _is_volume(text: str) -> bool:
    return _reads(text, "volume")


def _reads(text: str, kind: str) -> bool:
    try:
        read_quantity(text, kind)
    except QuantityError as error:
        return error.check == "ambiguous-unit"
    return True


def _is_thread(text: str) -> bool:
    try:
        read_thread(text)
    except ThreadError:
        return False
    return not text.isdigit()


def _is_count(text: str) -> bool:
    return text.isdigit() and 1 <= int(text[:4]) <= 1000 and not text.startswith("0")


def _is_part_number(text: str) -> bool:
    return bool(_PART_NUMBER.fullmatch(text)) and quantity_of(text) is None and len(text) > 3


def _is_class(text: str) -> bool:
    return bool(_CLASSES.fullmatch(text))


def _is_spec(text: str) -> bool:
    return bool(_SPEC.fullmatch(text))


def _is_name(text: str) -> bool:
    return bool(_WORDS.search(text))


_CONTENT: tuple[tuple[str, Callable[[str], bool]], ...] = (
    ("torque", _is_torque),
    ("volume", _is_volume),
    ("spec", _is_spec),
    ("class", _is_class),
    ("thread", _is_thread),
    ("number", _is_part_number),
    ("count", _is_count),
    ("name", _is_name),
)
