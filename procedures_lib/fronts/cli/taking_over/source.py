"""A file of a shop, by its kind: the tables of its sheets, or the steps of its text."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from procedures_lib.findings import SlipError
from procedures_lib.fronts.cli.taking_over.sheet import Sheet
from procedures_lib.fronts.cli.taking_over.step_list import StepList, read_steps
from procedures_lib.fronts.cli.taking_over.tables import Table, tables_of
from procedures_lib.fronts.cli.taking_over.text_file import read_csv, read_text
from procedures_lib.fronts.cli.taking_over.workbook import read_workbook

WORKBOOKS = (".xlsx", ".xlsm", ".xls")
_COMMA = (".csv", ".tsv")
_TEXT = (".txt", ".md", ".markdown", ".text")


@dataclass(frozen=True, slots=True)
class Source:
    """A file as it was read: its sheets with their tables, or a list of steps."""

    file: str
    stem: str
    sheets: tuple[Sheet, ...] = ()
    tables: tuple[Table, ...] = ()
    steps: StepList | None = None
    notes: tuple[str, ...] = ()


def read_source(path: Path, only: str | None) -> Source:
    """Return what is in a file; SlipError ``unreadable-sheet`` for one that can't be read."""
    kind = path.suffix.lower()
    if kind in _TEXT:
        text, notes = read_text(path)
        return Source(path.name, path.stem, steps=read_steps(text, path.name), notes=notes)
    if kind in _COMMA:
        sheets = [read_csv(path)]
    elif kind in WORKBOOKS:
        sheets = read_workbook(path, only)
    else:
        hint = "save it as .xlsx or CSV; a step list as .txt or .md"
        raise SlipError("unreadable-sheet", f"{path.name} is of no kind that is read", hint)
    notes = tuple(f"{_named(sheet)}{note}" for sheet in sheets for note in sheet.notes)
    tables = tuple(table for sheet in sheets for table in tables_of(sheet))
    return Source(path.name, path.stem, tuple(sheets), tables, notes=notes)


def _named(sheet: Sheet) -> str:
    return f"sheet {sheet.name}: " if sheet.name else ""
