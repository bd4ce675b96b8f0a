"""Entries of a page's blocks: what the rows of a table become, each with its row kept."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field

from procedures_lib.fronts.cli.taking_over import cells
from procedures_lib.fronts.cli.taking_over.cells import blank, scalar
from procedures_lib.fronts.cli.taking_over.names import (
    id_from,
    kind_of,
    told_apart,
    words_in_plural,
)
from procedures_lib.fronts.cli.taking_over.sheet import Row
from procedures_lib.fronts.cli.taking_over.tables import Left, Table
from procedures_lib.fronts.cli.taking_over.torques import torque
from procedures_lib.language.entities.car import TORQUE_FREE_KINDS


@dataclass(frozen=True, slots=True)
class Entry:
    """What one row gives to one block: its lines, and the row as it was read.

    ``block`` is the block's name, ``name`` the id or the words by which the entry is known in it.
    """

    block: str
    name: str
    lines: tuple[str, ...]
    where: str
    row: int
    read: str

    @property
    def row_mark(self) -> str:
        """Eight letters that are others when the row is another."""
        return digest(self.read)

    @property
    def text_mark(self) -> str:
        """Eight letters that are others when somebody has changed the entry on its page."""
        return digest("\n".join(self.lines))


def digest(text: str) -> str:
    """Return eight letters that stand for a text."""
    return hashlib.sha256(text.encode()).hexdigest()[:8].translate(_AS_LETTERS)


_AS_LETTERS = str.maketrans("0123456789", "ghijklmnop")
"""Letters alone can't be taken for a figure."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What a list gives: its entries, and the rows that were left."""

    entries: tuple[Entry, ...] = ()
    left: tuple[Left, ...] = field(default=())

    @property
    def rows(self) -> set[tuple[str, int]]:
        """The rows that entries were made of."""
        return {(entry.where, entry.row) for entry in self.entries}


def entries_of(
    table: Table, target: str, taken: Collection[str], known: Mapping[tuple[str, str], str]
) -> Taken:
    """Return the entries for a kind of page, with ids that are none of those taken.

    ``known`` holds the ids of rows from an earlier run, by sheet and :attr:`Entry.row_mark`.
    """
    kind = "packing" if target == "kit" and table.is_of_a_box else table.kind
    make = _MAKERS.get((kind, target)) or _MAKERS.get((kind, ""))
    if make is None:
        why = _NO_PLACE.get(kind, "of what kind this list is does not show: name its columns")
        return Taken((), tuple(Left(table.sheet.where, row.number, why) for row, _ in table.rows))
    good, left = _named(table)
    names = [table.name(row).text for row, _ in good]
    marks = [_marks(table, row, section) for row, section in good]
    reads = ["|".join(cell.text or cell.doubt for cell in row.cells) for row, _ in good]
    kept = [known.get((table.sheet.where, digest(read)), "") for read in reads]
    ids = told_apart(names, marks, kept, taken)
    found: list[Entry] = []
    for (row, _), name, read in zip(good, ids, reads, strict=True):
        found += [
            Entry(block, known, tuple(lines), table.sheet.where, row.number, read)
            for block, known, lines in make(table, row, name)
        ]
    return Taken(tuple(found), tuple(left))


_NO_PLACE = {
    "tools": "tools stand on a procedure or a kit: give --to procedure ID or --to kit ID",
    "steps": "steps stand on a procedure: give --to procedure ID",
    "fluids": "fluids stand on a vehicle: give --to vehicle ID",
    "packing": "what is in a box stands on a kit: give --to kit ID",
    "torque": "torques stand on a vehicle, a kit or a procedure",
}


def _named(table: Table) -> tuple[list[tuple[Row, str]], list[Left]]:
    """Part the rows into those that can be taken over, and those that can't."""
    good: list[tuple[Row, str]] = []
    left: list[Left] = []
    first: dict[tuple[object, ...], int] = {}
    for row, section in table.rows:
        name, same = table.name(row), (section, row.cells)
        if name.doubt or not name.text:
            why = f"it has no name: {name.doubt}" if name.doubt else "it has no name"
        elif not id_from(name.text):
            why = "no id can be made of its name: letters a to z and digits"
        elif same in first:
            why = f"it is the same as row {first[same]}"
        else:
            first[same] = row.number
            good.append((row, section))
            continue
        left.append(Left(table.sheet.where, row.number, why))
    return good, left


def _marks(table: Table, row: Row, section: str) -> list[str]:
    roles = ("thread", "number", "head", "spec")
    return [section, *(table.cell(row, role).text for role in roles)]


Made = Iterator[tuple[str, str, list[str]]]
_SHORT = 4
_WHAT_THEY_ARE = blank("what they are: bolt, screw, nut, stud, clamp or another kind", "bolt")


def _joint(table: Table, row: Row, name: str) -> Made:
    """A row of a torque list: a group of fasteners."""
    yield "fasteners", name, _fastener(table, row, name)


def _fastener(table: Table, row: Row, name: str) -> list[str]:
    said = table.name(row).text
    note = table.cell(row, "note").text
    block, kind = kind_of(said)
    if block != "fasteners" and len(note.split()) <= _SHORT:
        block, kind = kind_of(note)
    source = table.cell(row, "source").text
    here = f"{table.sheet.where}, row {row.number}"
    fields = {
        "name": scalar(said),
        "kind": kind if block == "fasteners" else _WHAT_THEY_ARE,
        "count": _count(table, row, kind),
        "thread": cells.thread(table.cell(row, "thread")) or cells.thread_in(said),
        "class": _quoted(table, row, "class"),
        "head": cells.head(table.cell(row, "head")),
        "condition": cells.condition(table.cell(row, "condition")),
        "tighten": _tighten(table, row, kind),
        "number": _number(table, row),
        "source": scalar(f"{source} ({here})" if source else here),
        "note": _text(table, row, "note"),
    }
    return _mapping(name, fields)


def _tighten(table: Table, row: Row, kind: str) -> str:
    """The stages of a row; a blank in a torque list that has none for what takes a torque."""
    unit = table.cell(row, "unit").text
    stages = torque(table.cells(row, "torque"), unit, table.cell(row, "angle"))
    if stages or table.kind != "torque" or kind in TORQUE_FREE_KINDS:
        return stages
    return blank("torque with its unit: the sheet has none", "10 N·m")


def _quoted(table: Table, row: Row, role: str) -> str:
    cell = table.cell(row, role)
    if cell.doubt:
        return blank(f"{role}: the sheet has {cell.doubt}", '"8.8"')
    if cell.text.replace(".", "").isdigit():
        return f'"{cell.text}"'
    return scalar(cell.text) if cell else ""


def _text(table: Table, row: Row, role: str) -> str:
    """Words as they are; a blank where the sheet does not hold them."""
    cell = table.cell(row, role)
    if cell.text:
        return scalar(cell.text)
    return blank(f"{role}: the sheet has {cell.doubt}", "none") if cell else ""


def _count(table: Table, row: Row, kind: str) -> str:
    """How many of a joint: a blank where the name says several, and no cell how many."""
    given = cells.count(table.cell(row, "count"))
    words = table.name(row).text.casefold().split()
    if given or kind not in words_in_plural(words):
        return given
    return blank("how many: the sheet does not say", "2")


def _number(table: Table, row: Row) -> str:
    return cells.part_number(table.cell(row, "number"), table.digits)


def _mapping(name: str, fields: dict[str, str]) -> list[str]:
    return [f"{name}:", *(f"  {key}: {value}" for key, value in fields.items() if value)]


def _fluid(table: Table, row: Row, name: str) -> Made:
    """A row of a fluid list."""
    said = table.name(row).text
    block, kind = kind_of(said)
    unit = table.cell(row, "unit").text
    given = next(iter(table.cells(row, "volume")), None)
    if given and given[1].unit:
        unit = given[1].unit
    amount = table.cell(row, "volume") or table.cell(row, "count")
    fields = {
        "name": scalar(said),
        "kind": kind
        if block == "fluids"
        else blank("what it is: coolant, oil, brake-fluid …", "oil"),
        "quantity": cells.volume(amount, unit),
        "spec": _text(table, row, "spec"),
        "note": _text(table, row, "note"),
    }
    yield "fluids", name, _mapping(name, fields)


_ITEM = {"fasteners": "fastener", "connections": "part", "parts": "part", "": "part"}
_WORDS = {"supplies": "supply", "papers": "paper", "tools": "tool", "fluids": "supply"}


def _quantity(table: Table, row: Row, block: str, kind: str) -> str:
    """How many, or how much of a supply, is in the box."""
    if block == "fasteners":
        return _count(table, row, kind)
    unit = table.cell(row, "unit").text
    return cells.count(table.cell(row, "count"), unit, _WORDS.get(block) == "supply")


def _packed(table: Table, row: Row, name: str) -> Made:
    """A row of a packing list: an item of the box, and what is new on the car by it."""
    said = table.name(row).text
    block, kind = kind_of(said)
    block = "fasteners" if table.cell(row, "torque") else block
    word = _WORDS.get(block)
    fields = {
        word or _ITEM[block]: scalar(said) if word else name,
        "number": _number(table, row),
        "qty": _quantity(table, row, block, kind),
        "note": _text(table, row, "note"),
    }
    first, *others = [f"{key}: {value}" for key, value in fields.items() if value]
    yield "kit", said if word else name, [f"  - {first}", *(f"    {each}" for each in others)]
    if block == "fasteners":
        yield "fasteners", name, _fastener(table, row, name)
    elif not word:
        number = cells.count(table.cell(row, "count"))
        shown = {
            "name": scalar(said),
            "kind": kind if block == "parts" else "",
            "count": number if number != "1" else "",
        }
        yield "parts", name, _mapping(name, shown)


def _tool(table: Table, row: Row, name: str) -> Made:
    """A row of a tool list, on a procedure: a tool, or a supply, of its first step."""
    del name
    said = table.name(row).text
    block = "supplies" if kind_of(said)[0] == "supplies" else "tools"
    yield block, said, [f"  - {scalar(said)}"]


def _tool_in_box(table: Table, row: Row, name: str) -> Made:
    del name
    said = table.name(row).text
    yield "kit", said, [f"  - tool: {scalar(said)}"]


_MAKERS: dict[tuple[str, str], Callable[[Table, Row, str], Made]] = {
    ("torque", ""): _joint,
    ("fluids", "vehicle"): _fluid,
    ("fluids", "procedure"): _fluid,
    ("packing", "kit"): _packed,
    ("tools", "procedure"): _tool,
    ("tools", "kit"): _tool_in_box,
}
