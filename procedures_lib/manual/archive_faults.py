"""What is wrong with the shop's settings of its archive, and with the place that they name."""

from __future__ import annotations

import os
from pathlib import Path

from procedures_lib.findings import Finding, SlipError
from procedures_lib.language.entities.field_reader import FieldReader
from procedures_lib.manual.archive_settings import ArchiveSettings
from procedures_lib.manual.shop import SHOP_PAGE, Shop, archive_in, unknown_tables
from procedures_lib.manual.shop_file import Tables, TomlReader, read_tables


def archive_faults(path: Path, pages: Path | None) -> list[Finding]:
    """Return what is wrong in the settings of the archive, its place included.

    ``pages`` is the folder of the manual's pages, None for an archive in another place. What is
    used instead of a wrong setting would keep what the shop does not want kept: whoever opens the
    archive asks first.
    """
    try:
        tables = _tables(path)
    except SlipError as error:
        return [error.on(SHOP_PAGE)]
    reader = TomlReader(SHOP_PAGE)
    unknown_tables(tables, reader, "archive")
    settings = archive_in(tables, reader)
    if pages is not None:
        _place(tables, settings, pages, reader)
    return reader.findings


def place_findings(path: Path, shop: Shop, pages: Path) -> list[Finding]:
    """Return the finding on the folder of the archive, if it can't be there."""
    if shop.archive.place_fault(pages) is None:
        return []
    reader = TomlReader(SHOP_PAGE)
    _place(_tables(path), shop.archive, pages, reader)
    return reader.findings


def _tables(path: Path) -> Tables:
    return read_tables(path) if os.path.lexists(path) else Tables({}, "")


def _place(tables: Tables, settings: ArchiveSettings, pages: Path, reader: FieldReader) -> None:
    if fault := settings.place_fault(pages):
        line = tables.line("archive", 0, "folder")
        reader.find(line, "unknown-word", f"the archive can't be there: {fault[0]}", fault[1])
