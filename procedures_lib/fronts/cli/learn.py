"""``procedures learn``: what the records in the archive teach, and how sure that is."""

from __future__ import annotations

from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.findings import printable
from procedures_lib.fronts.cli.archive import with_archive
from procedures_lib.fronts.cli.arguments import Folders, Word, relative, with_format, with_width
from procedures_lib.fronts.cli.terminal import (
    EXIT_CODES,
    ExitCode,
    folded,
    write_json,
    write_text,
)
from procedures_lib.fronts.cli.terminal import width as columns

if TYPE_CHECKING:
    from procedures_lib.fronts.cli.archiving.store import Archive
    from procedures_lib.judging.records.lesson import Lessons

FORMAT = 1


@click.command(epilog=EXIT_CODES)
@click.option("--procedure", metavar="ID", type=Word(), help="Show what is about this one alone.")
@click.option("--all", "everything", is_flag=True, help="In text: what can't be told as well.")
@with_format("text", "csv", "json", "html", about="How to write it; `html` is a page with charts.")
@with_width
@with_archive
def learn(
    kept: Archive,
    folders: Folders,
    procedure: str | None,
    everything: bool,
    form: str,
    width: int | None,
) -> int:
    """Tell what the jobs in the archive teach of the pages as they are now.

    Planned against real time of each step; steps that are remarked on or handed over at; readings
    at the edge of their limits; wrenches that read low or drift; kits that were short; cars that
    nobody has done. Each with its interval; what stands out holds for all questions together.

    What was found is kept in the archive: `procedures serve` and the editor show it at each step.
    """
    from procedures_lib.fronts.cli.archiving.lessons import learnt, write_lessons  # noqa: PLC0415
    from procedures_lib.fronts.cli.archiving.questions import known_word  # noqa: PLC0415
    from procedures_lib.fronts.cli.checked_manual import read_manual  # noqa: PLC0415

    kept.expected()
    procedure = known_word(kept, folders, "procedure", procedure) if procedure else None
    manual, _ = read_manual(folders)
    lessons = learnt(kept, manual)
    try:
        write_lessons(kept, lessons)
    except OSError as error:
        click.echo(f"Note: {relative(kept.root)} can't be written to: {error.strerror}", err=True)
    if procedure:
        only = tuple(each for each in lessons.lessons if each.procedure in {procedure, ""})
        lessons = replace(lessons, lessons=only)
    _write(lessons, form, columns(width), everything=everything)
    return ExitCode.CLEAN


def _write(lessons: Lessons, form: str, room: int | None, *, everything: bool) -> None:
    from procedures_lib.fronts.formats import csv_text  # noqa: PLC0415
    from procedures_lib.fronts.tables.lesson_tables import lesson_table  # noqa: PLC0415

    if form == "json":
        write_json(value_of(lessons))
    elif form == "csv":
        write_text(csv_text(lesson_table(lessons.lessons)))
    elif form == "html":
        from procedures_lib.fronts.site.lessons_page import lessons_page  # noqa: PLC0415

        write_text(lessons_page(lessons))
    else:
        write_text(_text(lessons, room, everything=everything))


def value_of(lessons: Lessons) -> dict[str, Any]:
    """Return lessons as plain values for a program."""
    return {"format": FORMAT, **asdict(lessons)}


def _text(lessons: Lessons, room: int | None, *, everything: bool) -> str:
    from procedures_lib.fronts.tables.lesson_tables import (  # noqa: PLC0415
        lesson_text,
        summary_lines,
    )
    from procedures_lib.judging.records.lesson import KINDS  # noqa: PLC0415

    lines = [*summary_lines(lessons), ""]
    effects = lessons.effects
    lines.append("What stands out:" if effects else "Nothing stands out.")
    lines += [f"  {lesson_text(each)}" for each in effects]
    for kind, heading in KINDS.items() if everything else ():
        found = lessons.of(kind)
        if found:
            lines += ["", f"{heading}:", *(f"  {lesson_text(each)}" for each in found)]
    return folded("".join(f"{printable(line)}\n" for line in lines), room)
