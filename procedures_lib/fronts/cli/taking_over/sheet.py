"""A sheet as it was read: its rows and cells as text, each with what may be wrong with it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

MOST_ROWS = 100_000
MOST_COLUMNS = 64
LONGEST_CELL = 2_000


@dataclass(frozen=True, slots=True)
class Cell:
    """What a cell shows: its text, and why it may not be what was typed ("" where it is).

    ``number`` tells that the sheet holds a number: zeros in front of it can't have been kept.
    """

    text: str = ""
    doubt: str = ""
    number: bool = False

    def __bool__(self) -> bool:
        return bool(self.text or self.doubt)


EMPTY = Cell()


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a sheet, by the number that the sheet shows beside it."""

    number: int
    cells: tuple[Cell, ...]

    def __bool__(self) -> bool:
        return any(self.cells)

    def cell(self, column: int) -> Cell:
        """The cell of a column from 0; an empty one beyond the last."""
        return self.cells[column] if column < len(self.cells) else EMPTY


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet: the file's name, its own ("" in a text file), the rows that have anything in them.

    ``notes`` say what was read in another way than it looks, or not at all.
    """

    file: str
    name: str
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = field(default=())

    @property
    def where(self) -> str:
        """What a source calls it."""
        return f"{self.file}, sheet {self.name}" if self.name else self.file


def column_name(column: int) -> str:
    """Return the letters of a column from 0: A, B, …, Z, AA."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def plain(text: str) -> str:
    """Return a text on one line, without signs that no reader sees, and without marks of blanks."""
    shown = text[:LONGEST_CELL]
    if not shown.isprintable():
        shown = "".join(sign if sign.isprintable() else " " for sign in shown)
    return " ".join(shown.replace("‹", "<").replace("›", ">").split())


def text_cell(text: str) -> Cell:
    """Return a cell that shows a text; one that is too long is cut, and says so."""
    if len(text) > LONGEST_CELL:
        return Cell(f"{plain(text)}…", f"a text of more than {LONGEST_CELL:,} characters")
    return Cell(plain(text))


def row_ranges(numbers: Iterable[int]) -> str:
    """Return numbers of rows in words: ``3, 5–9``."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    shown = [str(a) if a == b else f"{a}–{b}" for a, b in runs[:_MOST_RUNS]]
    return ", ".join([*shown, *(["…"] if len(runs) > _MOST_RUNS else [])])


_MOST_RUNS = 40
