"""A table as a value: columns, rows and cells, some of them linked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from procedures_lib.fronts.tables.words import stages_led, stages_text, tight_text
from procedures_lib.language.entities.car import Fastener
from procedures_lib.view.step import Thing


@dataclass(frozen=True, slots=True)
class Run:
    """A piece of text; ``target`` is what it links to, as ``kind:id`` ("" for no link).

    ``led`` pairs units with the text they lead, for readers who would have one before N·m.
    ``when`` are the cars that it is for, where it is not for all of its row.
    """

    text: str
    target: str = ""
    led: tuple[tuple[str, str], ...] = ()
    when: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its runs one after another."""

    runs: tuple[Run, ...] = ()

    @property
    def text(self) -> str:
        """The cell without its links."""
        return "".join(f"{run.when}: {run.text}" if run.when else run.text for run in self.runs)


@dataclass(frozen=True, slots=True)
class Column:
    """A column: ``key`` in JSON and CSV, ``label`` on the page."""

    key: str
    label: str


@dataclass(frozen=True, slots=True)
class Row:
    """A row: ``anchor`` is the ``kind:id`` that links lead to, ``when`` the cars it is for."""

    cells: tuple[Cell, ...]
    anchor: str = ""
    when: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table; ``kind`` names what it is about (torque, parts, tools, …)."""

    kind: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]

    def records(self) -> list[dict[str, str]]:
        """The rows as mappings from column key to text, with ``when`` last."""
        keys = [column.key for column in self.columns]
        return [
            {**dict(zip(keys, (cell.text for cell in row.cells), strict=True)), "when": row.when}
            for row in self.rows
        ]

    def without_empty_columns(self) -> Table:
        """The table without the columns in which no row says anything."""
        kept = [n for n in range(len(self.columns)) if any(row.cells[n].text for row in self.rows)]
        rows = tuple(
            Row(tuple(row.cells[n] for n in kept), row.anchor, row.when) for row in self.rows
        )
        return Table(self.kind, self.caption, tuple(self.columns[n] for n in kept), rows)


def cell(text: str, target: str = "") -> Cell:
    """Make a cell of one run."""
    return Cell((Run(text, target),)) if text else Cell()


def joined(cells: Iterable[Cell], between: str = ", ") -> Cell:
    """Make one cell of several, with a text between them."""
    runs: list[Run] = []
    for one in cells:
        if runs and one.runs:
            runs.append(Run(between))
        runs += one.runs
    return Cell(tuple(runs))


def thing_cell(thing: Thing) -> Cell:
    """The name of a thing, linked to where it is defined; free words as they are."""
    return cell(thing.name, f"definition:{thing.id}" if thing.entity else "")


def step_links(numbers: Iterable[int]) -> Cell:
    """The numbers of steps, linked: "4, 17"."""
    return joined(cell(str(number), f"step:{number}") for number in numbers)


def tight_cell(fastener: Fastener) -> Cell:
    """A cell with the stages of a group, in N·m and in the customary unit.

    Where they differ from car to car there is a run for each, with its cars.
    """
    if not fastener.how_tight or fastener.tighten:
        text = tight_text(fastener)
        return Cell((Run(text, led=stages_led(fastener.tighten)),)) if text else Cell()
    runs = [
        Run(stages_text(stages), led=stages_led(stages), when=str(when))
        for when, stages in fastener.how_tight.by_condition
    ]
    return joined((Cell((run,)) for run in runs), "; ")
