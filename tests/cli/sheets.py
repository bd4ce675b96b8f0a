"""Sheets as shops keep them, and what `procedures take-over` makes of them, for its tests."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import openpyxl

from procedures_lib.judging.checks import check_manual
from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual import Manual
from tests.cli.world import run

if TYPE_CHECKING:
    from pathlib import Path

Rows = Sequence[Sequence[Any]]

TORQUES: Rows = (
    ("Workshop torque list, spring", None, None, None, None, None),
    (),
    ("Fastener", "Qty", "Thread", "Class", "Torque (Nm)", "Shelf"),
    ("Front axle",),
    ("Caliper bolts", 2, "M12x1.5", 10.9, 110, "A3"),
    ("Guard bolts", 4, "M6", 8.8, "10-12", "A4"),
    ("Rear axle",),
    ("Guard bolts", 6, "M8", 8.8, 25, "A4"),
    ("Arm bolt", 1, "M12x1.25", 10.9, "35 lb", "B1"),
    ("Hub nut", 1, "M22x1.5", 10, "80 Nm + 90°", "B2"),
    (None, 3, "M8", 8.8, 25, "B3"),
)
"""A title, headings in the third row, sections; units in the heading, and one that is not clear."""

BOX: Rows = (
    ("Pos", "Part No.", "Description", "Pcs"),
    (1, "QT-1-01", "Charge-air cooler", 1),
    (2, "00123", "M8x25 bolt", 4),
    (3, "QT-1-03", "Hose clamp 60 mm", 2),
    (4, "QT-1-04", "Silicone hose", 1),
    (5, "QT-1-05", "Cable tie 200 mm", 10),
    (6, "QT-1-06", "Fitting instructions", 1),
)
"""A packing list: the rows' own numbers first, then the part numbers."""

FLUIDS: Rows = (
    ("Engine oil", "4.2 L", "5W-30"),
    ("Coolant", "6 qt", "ethylene glycol 50/50"),
    ("Gearbox oil", "2.1 L", "75W-80"),
)
"""No headings at all: what stands in the columns tells what they are."""


def workbook(path: Path, sheets: dict[str, Rows]) -> Path:
    """Write a workbook of these sheets."""
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    book.save(path)
    return path


def changed(path: Path, sheet: str, cells: dict[str, Any]) -> None:
    """Write other values into some cells of a workbook."""
    book = openpyxl.load_workbook(path)
    for place, value in cells.items():
        book[sheet][place] = value
    book.save(path)


def with_file(path: Path, name: str, text: str) -> None:
    """Put a file into a package, in the place of the one of that name."""
    with zipfile.ZipFile(path) as old:
        files = {each: old.read(each) for each in old.namelist()}
    files[name] = text.encode()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for each, content in files.items():
            new.writestr(each, content)


def csv_text(rows: Iterable[Sequence[Any]]) -> str:
    """Return rows as CSV, of cells without a comma."""
    return "".join(",".join("" if v is None else str(v) for v in row) + "\n" for row in rows)


def take(*words: str, code: int = 0) -> str:
    """Run the command; its output, which has this exit code."""
    result = run("take-over", *words)
    assert result.exit_code == code, result.output
    return result.stdout


def counted(output: str) -> tuple[int, int, int]:
    """Rows in, taken over and left, as the command says."""
    match = re.search(r"^(\d+) (?:row|line)s? in: (\d+) taken over, (\d+) left$", output, re.M)
    assert match, output
    return int(match[1]), int(match[2]), int(match[3])


def full(rows: Rows) -> int:
    """How many rows have anything in them."""
    return sum(any(cell is not None for cell in row) for row in rows)


def on_page(manual: Path, page: str) -> str:
    """The text of a page."""
    return (manual / "docs" / page).read_text("utf-8")


def found_in(manual: Path) -> list[str]:
    """What is found in a manual besides blanks."""
    findings = check_manual(Manual.read(manual / "docs"))
    return [each.text() for each in findings if each.check not in {"blank-left", "not-in-contents"}]


def torques_of(manual: Path, page: str = "vehicles/list.md") -> dict[str, str]:
    """The stages of each joint on a page."""
    joints = Manual.read(manual / "docs").scope(page).all(Fastener)
    return {each.id: str(each.how_tight).replace("\u00a0", " ") for each in joints}


def refusal(*words: str) -> str:
    """What the command says when it refuses."""
    result = run("take-over", *words)
    assert (result.exit_code, result.stdout) == (2, "")
    return result.stderr
