"""``procedures witness``: each number of the manual, and where it stands a second time."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from itertools import groupby
from pathlib import Path
from typing import Any

import click

from procedures_lib.findings import printable
from procedures_lib.fronts.cli.arguments import Folders, PathWord, with_folders, with_format
from procedures_lib.fronts.cli.checked_manual import read_manual
from procedures_lib.fronts.cli.selection import choose
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, width, write_json, write_text
from procedures_lib.fronts.formats import csv_text
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.tables.definitions import witness_table, witness_text
from procedures_lib.judging.witness import Number, count_of, numbers_on, stated


@click.command(epilog=EXIT_CODES)
@click.argument("paths", nargs=-1, metavar="[PAGE]…", type=PathWord(path_type=Path))
@click.option("--missing", is_flag=True, help="Only the numbers that have no witness.")
@with_format("text", "csv", "json", about="How to write the list.")
@with_folders
def witness(paths: tuple[Path, ...], missing: bool, form: str, folders: Folders) -> int:
    """List each number that a technician acts on, and its witness.

    The witness of a number is a row of double entry, the same number of the thing on the other
    side of the car (a twin), or a standard that it follows from. What has none stands once: a slip
    of the finger there shows nowhere. With each PAGE, or folder, only what stands there is listed.
    """
    manual, _ = read_manual(folders)
    pages = sorted(choose(paths, folders) & manual.contents.keys()) if paths else manual.contents
    listed = [number for page in pages for number in numbers_on(manual, page)]
    shown = [number for number in listed if not (missing and number.witness)]
    if form == "json":
        write_json({"format": 1, "counts": count_of(listed), "numbers": list(map(_value, shown))})
    elif form == "csv":
        write_text(csv_text(witness_table(shown)))
    else:
        for line in _lines(shown, folders):
            click.echo(line)
        click.echo(_summary(listed))
    return ExitCode.CLEAN


def _value(number: Number) -> dict[str, Any]:
    return {
        "page": number.place.page,
        "line": number.place.line,
        "thing": number.thing,
        "field": number.name,
        "value": number.value,
        "cars": number.cars,
        "source": number.source,
        "witness": number.witness or None,
        "by": number.by,
    }


def _summary(listed: Sequence[Number]) -> str:
    said = ", ".join(f"{count} {name}" for name, count in count_of(listed).items() if count)
    return f"{len(listed)} numbers: {said}" if listed else "No numbers here."


def _lines(numbers: Iterable[Number], folders: Folders) -> Iterable[str]:
    """Yield the numbers page by page and thing by thing, no line wider than the terminal."""
    columns = min(width() or 80, 80)
    for page, on_page in groupby(numbers, lambda number: number.place.page):
        yield printable(folders.way_to(page))
        for _, of_thing in groupby(on_page, lambda number: (number.owner, number.thing)):
            group = list(of_thing)
            source = f" ({group[0].source})" if group[0].source else ""
            yield from _wrapped(f"  {group[0].thing}{source}", columns, 6)
            for each in group:
                cars = f" on cars with {each.cars}" if each.cars else ""
                said = f"{stated(each)}{cars}: {witness_text(each)}"
                yield from _wrapped(f"{each.place.line:>6}  {said}", columns, 10)
        yield ""


def _wrapped(text: str, columns: int, indent: int) -> list[str]:
    plain = printable(spaced(text))
    rows = textwrap.wrap(
        plain, columns, subsequent_indent=" " * indent, drop_whitespace=True, break_on_hyphens=False
    )
    lead = plain[: len(plain) - len(plain.lstrip())]
    return [rows[0] if rows[0].startswith(lead) else lead + rows[0], *rows[1:]] if rows else []
