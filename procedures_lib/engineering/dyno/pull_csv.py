"""Reads a pull: a CSV file whose header names quantity and unit, ``speed [rpm], torque [N·m]``."""

from __future__ import annotations

import csv
import math
import re
from array import array
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from procedures_lib.engineering.dyno.limits import MOST_ROWS
from procedures_lib.engineering.dyno.pull import Pull, PullError, Rows, pull_of, used_rows
from procedures_lib.engineering.quantities import QuantityError, quantity_of, read_quantity
from procedures_lib.engineering.quantities.units import factor_between
from procedures_lib.spelling import nearest

KIND_OF = {"speed": "rotation", "torque": "torque", "power": "power"}
_BASE = {"speed": "rpm", "torque": "N·m", "power": "kW"}
_HEADING = re.compile(r"\s*([^\[\]()]*?)\s*(?:[\[(]\s*([^\[\]()]*?)\s*[\])])?\s*$")
_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?$")
_EXAMPLE = "write a header such as `speed [rpm],torque [N·m]`"


@dataclass(frozen=True, slots=True)
class Column:
    """A column that is read: where it stands, and the factor to rpm, N·m or kW."""

    quantity: str
    at: int
    factor: float


@dataclass(frozen=True, slots=True)
class Header:
    """The first line: its columns, how many there are, how cells and decimals are parted.

    ``time`` is the column of the time, where its unit can be read.
    """

    columns: tuple[Column, ...]
    width: int
    delimiter: str
    time: Column | None = None


def read_pull(lines: Iterable[str]) -> tuple[Pull, Rows]:
    """Return a pull from the lines of its file, and the rows it was made of.

    Columns may stand in any order; columns of other quantities are passed over. Cells are parted
    by comma, semicolon or tab; with the last two, decimals may have a comma. Empty lines don't
    count. The file is read line by line; PullError names the first line that can't be read.
    """
    counted = _Counted(lines)
    header = read_header(counted)
    rows = _read_rows(counted, header)
    used = used_rows(rows)
    before = next(n for n, line in enumerate(rows.lines) if line == used.lines[0])
    behind = len(rows.lines) - before - len(used.lines)
    return pull_of(used, before, behind), used


class _Counted:
    """Lines with the number of the one read last."""

    def __init__(self, lines: Iterable[str]) -> None:
        self._lines = iter(lines)
        self.number = 0

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        try:
            line = next(self._lines)
        except UnicodeDecodeError:
            raise PullError(self.number + 1, "this line is not UTF-8",
                            "save the file as CSV in UTF-8") from None  # fmt: skip
        self.number += 1
        if "\0" in line:
            raise PullError(self.number, "this line holds NUL bytes",
                            "save the file as CSV in UTF-8")  # fmt: skip
        return line


def read_header(lines: _Counted) -> Header:
    """Return what the first line that is not empty says of the columns."""
    line = next((line for line in lines if line.strip()), "").strip().removeprefix("\ufeff")
    if not line:
        raise PullError(1, "the file is empty", _EXAMPLE)
    delimiter = next((sign for sign in ";\t" if sign in line), ",")
    try:
        headings = next(csv.reader([line], delimiter=delimiter))
    except csv.Error as error:
        raise _no_csv(error, lines.number) from None
    columns: dict[str, Column] = {}
    for at, heading in enumerate(headings):
        column = _column(heading, at, lines.number)
        if column is None:
            continue
        if column.quantity in columns:
            raise PullError(lines.number, f"there are two columns for {column.quantity}",
                            "leave one of them out")  # fmt: skip
        columns[column.quantity] = column
    missing = _missing(columns)
    if missing:
        shown = ", ".join(f"`{heading.strip()}`" for heading in headings[:8])
        raise PullError(lines.number, f"no column for {missing}; the columns are {shown}",
                        _meant(headings, missing) or _EXAMPLE)  # fmt: skip
    return Header(tuple(columns.values()), len(headings), delimiter, _time_column(headings))


def _missing(columns: dict[str, Column]) -> str:
    if "speed" not in columns:
        return "speed"
    return "" if {"torque", "power"} & set(columns) else "torque or power"


def _meant(headings: list[str], missing: str) -> str:
    for heading in headings:
        near = nearest(heading.split("[")[0].strip().lower(), missing.split(" or "))
        if near:
            return f"did you mean `{near} [{_BASE[near]}]` by `{heading.strip()}`?"
    return ""


def _column(heading: str, at: int, line: int) -> Column | None:
    """Return the column that a heading names, None for one that is not asked for."""
    match = _HEADING.match(heading)
    quantity = match[1].lower() if match else ""
    if match is None or quantity not in KIND_OF:
        return None
    kind = KIND_OF[quantity]
    if not match[2]:
        raise PullError(line, f"the column `{heading.strip()}` has no unit",
                        f"write it behind: `{quantity} [{_BASE[quantity]}]`")  # fmt: skip
    try:
        unit = read_quantity(f"1 {match[2]}", kind).unit
    except QuantityError as error:
        raise PullError(
            line, f"the column `{heading.strip()}`: {error.message}", error.hint
        ) from None
    return Column(quantity, at, factor_between(unit, _BASE[quantity]))


def _time_column(headings: list[str]) -> Column | None:
    """Return the one column of the time; it tells how long a pull took, and may be missing."""
    found = []
    for at, heading in enumerate(headings):
        match = _HEADING.match(heading)
        if match and match[1].lower() == "time" and match[2]:
            unit = quantity_of(f"1 {match[2]}")
            if unit is not None and unit.kind == "time":
                found.append(Column("time", at, factor_between(unit.unit, "s")))
    return found[0] if len(found) == 1 else None


def _seconds(row: list[str], column: Column, header: Header) -> float:
    """The time in a cell, not a number where it can't be read: it is no part of the result."""
    try:
        return _number(row[column.at], "time", header, 0) * column.factor
    except PullError:
        return math.nan


def _read_rows(lines: _Counted, header: Header) -> Rows:
    values = {quantity: array("d") for quantity in KIND_OF}
    where, time = array("L"), array("d")
    wanted = [(c.at, c.factor, values[c.quantity], c.quantity) for c in header.columns]
    first = lines.number
    reader = csv.reader(lines, delimiter=header.delimiter)
    try:
        for row in reader:
            if len(row) != header.width:
                if not any(cell.strip() for cell in row):
                    continue
                raise _wrong_width(row, header, lines.number)
            if not any(row):
                continue
            for at, factor, into, quantity in wanted:
                into.append(_number(row[at], quantity, header, lines.number) * factor)
            where.append(lines.number)
            if header.time:
                time.append(_seconds(row, header.time, header))
            if len(where) > MOST_ROWS:
                raise PullError(lines.number, f"the file has more than {MOST_ROWS} rows",
                                "export one pull alone")  # fmt: skip
    except csv.Error as error:
        raise _no_csv(error, max(lines.number, first)) from None
    known = time if all(map(math.isfinite, time)) else array("d")
    return Rows(values["speed"], values["torque"], values["power"], where, known)


def _no_csv(error: csv.Error, line: int) -> PullError:
    hint = "save the file as CSV, one row a line"
    return PullError(line, f"this is no CSV: {error}", hint)


def _wrong_width(row: list[str], header: Header, line: int) -> PullError:
    message = f"this row has {len(row)} cells, the header has {header.width}"
    if header.delimiter == "," and len(row) == 2 * header.width:
        return PullError(line, message, "with a decimal comma, part the cells by semicolons")
    return PullError(line, message, "give every row as many cells as the header")


def _number(text: str, quantity: str, header: Header, line: int) -> float:
    """Return the number in a cell; PullError for anything that is no finite number."""
    try:
        value = float(text)
    except ValueError:
        plain = text.strip()
        if header.delimiter != "," and plain.count(",") == 1 and "." not in plain:
            plain = plain.replace(",", ".")
        plain = plain.replace("\u2212", "-")
        if not _NUMBER.match(plain):
            raise _no_number(text, quantity, line) from None
        return float(plain)
    if not math.isfinite(value) or "_" in text:
        raise _no_number(text, quantity, line)
    return value


def _no_number(text: str, quantity: str, line: int) -> PullError:
    shown = text.strip()
    if not shown:
        return PullError(line, f"the cell for {quantity} is empty", "fill it, or take the row out")
    shown = shown if len(shown) <= 24 else f"{shown[:24]}…"
    return PullError(line, f"`{shown}` is no number for {quantity}",
                     "write digits with a decimal point; units stand in the header")  # fmt: skip
