"""``procedures record``: whether the record of a job is complete and within its page's limits."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from procedures_lib.findings import Level, counted, printable
from procedures_lib.fronts.cli.arguments import Folders, PathWord, relative, with_folders
from procedures_lib.fronts.cli.checked_manual import read_manual
from procedures_lib.fronts.cli.record_remarks import (
    remark_lines,
    remark_values,
    write_photographs,
)
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, write_json
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.judging.records.record import (
    MOST_BYTES,
    Record,
    RecordError,
    RecordFinding,
    load_record,
    read_record,
)
from procedures_lib.judging.records.record_check import check_record

FORMAT = 1


@click.command(epilog=EXIT_CODES)
@click.argument("file", type=PathWord(exists=True, dir_okay=False, path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the findings for a program.")
@click.option(
    "--photographs",
    metavar="DIR",
    type=PathWord(exists=True, file_okay=False, path_type=Path),
    help="Write the photographs of the remarks there, as JPEG files.",
)
@with_folders
def record(file: Path, as_json: bool, photographs: Path | None, folders: Folders) -> int:
    """Check the record of a job against its page and the shop's wrenches.

    FILE is what the page of a procedure saves. Is it of this revision, is every step of this car
    ticked, every joint recorded, every value within its limits, every wrench known and in
    calibration on the day? Each finding names its place in the file. What was remarked on at the
    steps is printed below the findings; it is for the writer of the page, and no finding.

    A complete record is no proof that the work was done well: it helps whoever signs for it.
    """
    value = _loaded(file)
    found, findings = read_record(value)
    remarks: list[str] = []
    if found is not None:
        manual, _ = read_manual(folders)
        findings = [*findings, *check_record(found, manual)]
        remarks = list(remark_lines(found, manual))
    written = write_photographs(found, file.stem, photographs) if found and photographs else []
    if as_json:
        write_json(_value(file, found, findings))
    else:
        _print(file, found, findings)
        for line in [*remarks, *(f"written: {relative(path)}" for path in written)]:
            click.echo(f"{printable(str(file))}: {line}")
    errors = any(finding.level is Level.ERROR for finding in findings)
    return ExitCode.FINDINGS if errors else ExitCode.CLEAN


def _loaded(file: Path) -> dict[str, Any]:
    try:
        with file.open("rb") as stream:
            return load_record(stream.read(MOST_BYTES + 1))
    except RecordError as error:
        raise Refused(printable(f"{file} is no record: {error.message}; {error.hint}.")) from None


def _print(file: Path, found: Record | None, findings: list[RecordFinding]) -> None:
    for finding in findings:
        text = f"{file}: {finding.path}: {finding.level}: {finding.check}: {finding.message}"
        click.echo(printable(spaced(text)))
        if finding.hint:
            click.echo(f"    {printable(spaced(finding.hint))}")
    if findings or found is None:
        click.echo(f"{counted(len(findings), 'finding')} in {file}")
        return
    readings, steps = counted(len(found.readings), "reading"), counted(len(found.steps), "step")
    click.echo(
        printable(
            f"{file}: complete, {steps} ticked, {readings}: {found.procedure} "
            f"revision {found.revision}"
        )
    )


def _value(file: Path, found: Record | None, findings: list[RecordFinding]) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "record": file.as_posix(),
        "procedure": found.procedure if found else "",
        "revision": found.revision if found else "",
        "findings": [
            {
                "path": finding.path,
                "level": str(finding.level),
                "check": finding.check,
                "message": spaced(finding.message),
                "hint": spaced(finding.hint),
            }
            for finding in findings
        ],
        "remarks": remark_values(found) if found else [],
    }
