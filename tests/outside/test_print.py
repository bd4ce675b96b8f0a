"""Pages written after public manuals say what the print says, and are found wrong where it is.

Which document each page follows, how much of it was read, what it leaves out and where it
contradicts itself stands in `print/sources.toml`. A finding that is not listed there is a false
alarm; one that is listed and does not come is a hole. The mistakes in `print/faults.toml` were
written down without a look at the checks; those that pass without a word say why.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from procedures_lib.fronts.tables.procedure_tables import torque_table
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual.shop import Shop
from procedures_lib.view.uses import uses_of
from tests.helpers import findings_of, manual_from
from tests.outside.test_manuals import changed
from tests.tables.samples import record

_HERE = Path(__file__).parent / "print"
_MANUALS = tomllib.loads((_HERE / "sources.toml").read_text(encoding="utf-8"))["manual"]
_FAULTS = tomllib.loads((_HERE / "faults.toml").read_text(encoding="utf-8"))["fault"]
_FACTS = [(manual["name"], fact) for manual in _MANUALS for fact in manual.get("facts", [])]


def pages_of(manual: str) -> dict[str, str]:
    folder = _HERE / manual
    files = sorted(folder.rglob("*.md"))
    return {str(file.relative_to(folder)): file.read_text(encoding="utf-8") for file in files}


def found_in(pages: dict[str, str], ids: list[str]) -> list[tuple[str, str, str]]:
    """The findings by check, page and that one of these ids which the message names."""
    return sorted(
        (f.check, f.place.page, next((i for i in ids if f"`{i}`" in f.message), ""))
        for f in findings_of(pages)
    )


def test_each_folder_has_its_source() -> None:
    folders = {folder.name for folder in _HERE.iterdir() if folder.is_dir()}
    assert {manual["name"] for manual in _MANUALS} == folders


@pytest.mark.parametrize("manual", _MANUALS, ids=lambda manual: manual["name"])
def test_the_findings_are_the_gaps_of_the_print(manual: dict[str, Any]) -> None:
    rows = manual.get("expected", [])
    awaited = sorted((row["check"], row["page"], row["about"]) for row in rows)
    assert found_in(pages_of(manual["name"]), [row["about"] for row in rows]) == awaited
    assert all(row["reason"] for row in rows)


@pytest.mark.parametrize(("name", "fact"), _FACTS, ids=lambda value: str(value)[:40])
def test_the_torque_table_says_what_the_print_says(name: str, fact: dict[str, str]) -> None:
    manual = manual_from(pages_of(name))
    head = manual.head(Procedure, fact["procedure"])
    assert head is not None
    table = torque_table(uses_of(manual.plan(head)), Shop(name="Any shop"))
    assert record(table, fact["joint"])[fact["column"]] == fact["says"]


@cache
def found_on(manual: str) -> Counter[tuple[str, str]]:
    """What is found on the pages as the print has them."""
    return Counter((f.check, f.message) for f in findings_of(pages_of(manual)))


@pytest.mark.parametrize("fault", _FAULTS, ids=lambda fault: f"{fault['manual']}: {fault['what']}")
def test_a_mistake_is_found(fault: dict[str, Any]) -> None:
    pages = pages_of(fault["manual"])
    edited = changed(pages, fault["changes"])
    assert edited != pages
    found = Counter((f.check, f.message) for f in findings_of(edited))
    assert bool(found - found_on(fault["manual"])) == ("silent" not in fault)
    assert fault["severity"] in {"injures", "damages", "wastes"}
