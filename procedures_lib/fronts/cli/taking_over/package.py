"""The package that a workbook is: looked at, and bounded, before anything takes it apart."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import dataclass, field
from pathlib import Path

from procedures_lib.findings import SlipError
from procedures_lib.fronts.cli.taking_over.compound_file import ENCRYPTED, SIGNATURE, streams_of

MOST_BYTES = 50_000_000
MOST_UNPACKED = 200_000_000
MOST_IN_A_PART = 60_000_000
MOST_IN_A_ROW = 5_000_000
MOST_FILES = 2_000
CHECK = "unreadable-sheet"
_CHUNK = 1 << 20
_WIDE = (b"\xff\xfe", b"\xfe\xff")
_MERGED = re.compile(rb'<mergeCell\s[^>]*?ref="([A-Z]{1,3})([0-9]{1,7}):([A-Z]{1,3})([0-9]{1,7})"')
_ROW_ENDS = re.compile(rb"</?(?:\w+:)?(?:row|sheetData)\b")
_OVERLAP = 200
_MOST_MERGED = 20_000


@dataclass(slots=True)
class Marks:
    """What the text of a part tells of a sheet: merged cells, and whether it has formulas.

    Merged cells are first column, first row, last column, last row; columns from 0, rows from 1.
    """

    formulas: bool = False
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)


def bytes_of(path: Path) -> bytes:
    """Return the bytes of a workbook; SlipError for one with a password, too large, or too old."""
    with path.open("rb") as file:
        raw = file.read(MOST_BYTES + 1)
    if len(raw) > MOST_BYTES:
        raise SlipError(CHECK, f"{path.name} has more than {MOST_BYTES:,} bytes", "split it")
    if raw.startswith(SIGNATURE) and ENCRYPTED in streams_of(raw):
        said, hint = "has a password", "take the password off in the program that set it"
        raise SlipError(CHECK, f"{path.name} {said}", f"{hint}, and save it again")
    if raw.startswith(SIGNATURE):
        said, hint = "is a workbook of the old kind (.xls)", "save it as .xlsx or as CSV"
        raise SlipError(CHECK, f"{path.name} {said}", hint)
    return raw


def scan(raw: bytes) -> dict[str, Marks]:
    """Return the marks of each part; SlipError for a package that no sheet needs to be.

    A part has no more unpacked bytes than its entry says: zipfile reads no further.
    """
    with zipfile.ZipFile(io.BytesIO(raw)) as package:
        parts = package.infolist()
        sizes = [part.file_size for part in parts]
        if len(parts) > MOST_FILES or sum(sizes) > MOST_UNPACKED or max(sizes) > MOST_IN_A_PART:
            said = f"unpacked it has {len(parts):,} files and {sum(sizes):,} bytes"
            raise SlipError(CHECK, said, "save the sheet that is wanted in a file of its own")
        texts = [part for part in parts if part.filename.endswith((".xml", ".rels"))]
        return {part.filename: _marks(package, part) for part in texts}


def _marks(package: zipfile.ZipFile, part: zipfile.ZipInfo) -> Marks:
    """Return the marks of a part; SlipError for one that declares entities, or has endless rows."""
    found, tail, in_row = Marks(), b"", 0
    with package.open(part) as file:
        while chunk := file.read(_CHUNK):
            text = tail + chunk
            if b"<!DOCTYPE" in text or b"<!ENTITY" in text or (not tail and text[:2] in _WIDE):
                raise _of_no_program(part.filename)
            found.formulas = found.formulas or b"<f>" in text or b"<f " in text
            if b"<mergeCell " in text:
                found.merged += map(_corners, _MERGED.finditer(text))
            in_row = 0 if _ROW_ENDS.search(text) else in_row + len(chunk)
            if "worksheets/" in part.filename and in_row > MOST_IN_A_ROW and b"<c" in text:
                raise _of_no_program(part.filename)
            tail = text[-_OVERLAP:]
    found.merged = list(dict.fromkeys(found.merged))[:_MOST_MERGED]
    return found


def _of_no_program(name: str) -> SlipError:
    said = f"{name} in it is of a form that no spreadsheet program writes"
    return SlipError(CHECK, said, "save it anew as .xlsx or as CSV")


def _corners(match: re.Match[bytes]) -> tuple[int, int, int, int]:
    return _column(match[1]), int(match[2]), _column(match[3]), int(match[4])


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number - 1
