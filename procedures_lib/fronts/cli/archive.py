"""``procedures archive``: records of jobs kept, found, shown as they were done, and forgotten."""

from __future__ import annotations

import datetime
import functools
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.findings import counted, printable
from procedures_lib.fronts.cli.arguments import (
    Folders,
    PathWord,
    Word,
    relative,
    with_folders,
    with_format,
    with_width,
)
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, write_json, write_text
from procedures_lib.fronts.cli.terminal import width as columns
from procedures_lib.spelling import suggestion

if TYPE_CHECKING:
    from procedures_lib.fronts.cli.archiving.kept_file import Entry
    from procedures_lib.fronts.cli.archiving.store import Archive

FORMAT = 1

_Command = Callable[..., Any]


_MEANT = {"list": "find", "search": "find", "get": "show", "remove": "forget", "delete": "forget",
          "rm": "forget", "verify": "check", "reindex": "index", "import": "add"}  # fmt: skip


class _Commands(click.Group):
    """The commands on the archive; for a word that is none of them, the one that is meant."""

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command; a usage error with what is meant for a word that is none."""
        found = super().get_command(ctx, cmd_name)
        if found is None:
            near = _MEANT.get(cmd_name)
            hint = f"did you mean `{near}`?" if near else suggestion(cmd_name, self.commands)
            ctx.fail(f"there is no command `{cmd_name}`: {hint}")
        return found


@click.group(cls=_Commands, epilog=EXIT_CODES)
def archive() -> None:
    """Keep the records of finished jobs, and find them again.

    The archive is a folder of plain files, one a record: `archive` beside the manual's pages, or
    what `[archive]` in the shop's file names. Of a person it keeps what the shop says there.
    """


def with_archive(command: _Command) -> _Command:
    """Add what names an archive to a command, which gets ``kept``, the archive, and ``folders``."""

    @functools.wraps(command)
    def run(*args: Any, folders: Folders, archive_folder: Path | None, **options: Any) -> int:
        from procedures_lib.fronts.cli.archiving.store import archive_of  # noqa: PLC0415

        kept = archive_of(folders, archive_folder)
        return int(command(*args, kept=kept, folders=folders, **options))

    option = click.option(
        "--archive",
        "archive_folder",
        metavar="DIR",
        type=PathWord(file_okay=False, path_type=Path),
        help="The folder of the archive.  [default: the one that the shop's file names]",
    )
    return with_folders(option(run))


@archive.command(epilog=EXIT_CODES)
@click.argument(
    "records",
    nargs=-1,
    required=True,
    metavar="RECORD…",
    type=PathWord(path_type=Path),
)
@with_archive
def add(records: tuple[Path, ...], kept: Archive, folders: Folders) -> int:
    """Put record files into the archive.

    Each RECORD is what the page of a procedure saves. One that is there already is told, and not
    put in twice. What is wrong with a record, or unknown of its page, is told; it is kept all the
    same, as long as it says what it is a record of. The files given here stay as they are.
    """
    from procedures_lib.fronts.cli.archiving.intake import Intake, arrival  # noqa: PLC0415
    from procedures_lib.judging.records.record import RecordError  # noqa: PLC0415

    def tell(text: str) -> None:
        click.echo(printable(text))

    refused = 0
    with kept.writing():
        intake = Intake(kept, folders, tell)
        for file in records:
            try:
                new = arrival(file)
            except RecordError as error:
                why = "it is no record: " if file.is_file() else ""
                tell(f"{file}: not added: {why}{error.message}; {error.hint}")
                refused += 1
                continue
            refused += not intake.take(new)
    return ExitCode.FINDINGS if refused else ExitCode.CLEAN


_QUESTIONS = (
    ("--car", "vehicle", "ID", "The vehicle, by its id."),
    ("--registration", "registration", "TEXT", "The order or number plate, as it was typed."),
    ("--kit", "kit", "ID", "The kit that was fitted."),
    ("--procedure", "procedure", "ID", "The procedure."),
    ("--revision", "revision", "LETTER", "The revision of its page."),
    ("--remark", "remark", "TEXT", "What a remark says, or its kind: `unclear`."),
)
_OTHER_WAYS = ("%d.%m.%Y", "%d.%m.%y", "%Y/%m/%d", "%Y.%m.%d", "%m/%d/%Y", "%Y%m%d",
               "%Y-%m-%dT%H:%M:%S", "%Y-%m-%dT%H:%M", "%Y-%m")  # fmt: skip


def _day(_ctx: click.Context, _param: click.Parameter, value: str | None) -> datetime.date | None:
    if value is None:
        return None
    for form in ("%Y-%m-%d", *_OTHER_WAYS):
        try:
            meant = datetime.datetime.strptime(value.strip(), form).date()
        except ValueError:
            continue
        if form == "%Y-%m-%d":
            return meant
        raise click.BadParameter(f"`{value}` is not how a day is written here: write {meant}.")
    raise click.BadParameter(f"`{value}` is no day: write it as in 2025-09-14.")


def with_questions(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add what can be asked of an archive to a command, which gets it by the names of a query."""
    for flag, name, metavar, about in reversed(_QUESTIONS):
        command = click.option(flag, name, type=Word(), metavar=metavar, help=about)(command)
    for flag, name, about in (("--until", "until", "last"), ("--since", "since", "first")):
        told = f"The {about} day on which it was begun, as in 2026-09-14."
        option = click.option(flag, name, metavar="DATE", callback=_day, help=told)
        command = option(command)
    return command


@archive.command(epilog=EXIT_CODES)
@with_questions
@with_format("text", "csv", "json", about="How to write the list.")
@with_width
@with_archive
def find(kept: Archive, folders: Folders, form: str, width: int | None, **asked: Any) -> int:
    """List the records that meet all that is asked; all of them when nothing is."""
    from procedures_lib.fronts.cli.archiving.questions import query_of  # noqa: PLC0415
    from procedures_lib.fronts.formats import csv_text, plain_text  # noqa: PLC0415

    kept.expected()
    found = kept.find(query_of(kept, folders, asked))
    if form == "json":
        rows = [{"name": entry.name, **asdict(entry)} for entry in found]
        write_json({"format": FORMAT, "jobs": rows})
        return ExitCode.CLEAN
    table = entry_table(found)
    if form == "csv":
        write_text(csv_text(table))
    else:
        write_text(plain_text(table, columns(width)) if found else "No record is like that.\n")
        click.echo(f"\n{counted(len(found), 'record')}" if found else "", nl=bool(found))
    return ExitCode.CLEAN


def entry_table(found: list[Entry]) -> Any:
    """Return what was found as a table."""
    from procedures_lib.fronts.tables.table import Column, Row, Table, cell  # noqa: PLC0415

    heads = {"day": "Day", "procedure": "Procedure", "revision": "Revision", "car": "Car",
             "done": "Done", "remarks": "Remarks", "name": "Name"}  # fmt: skip
    rows = []
    for each in found:
        done = f"{counted(each.steps, 'step')}, {counted(each.readings, 'reading')}"
        remarks = each.remarks.replace("\n", "; ")
        texts = (each.day, each.procedure, each.revision, each.car_text, done, remarks, each.name)
        rows.append(Row(tuple(cell(printable(text)) for text in texts)))
    about = tuple(Column(key, label) for key, label in heads.items())
    return Table("records", "Records", about, tuple(rows))


@archive.command(epilog=EXIT_CODES)
@click.argument("name", type=Word())
@click.option("--words", is_flag=True, help="With the actions and words of every step.")
@click.option("--json", "as_json", is_flag=True, help="Record and sheet for a program.")
@with_archive
def show(name: str, words: bool, as_json: bool, kept: Archive, folders: Folders) -> int:
    """Print a job as it was done, beside the page as it was that day.

    NAME is what `find` lists, or enough of it to tell it from the others.
    """
    from procedures_lib.fronts.cli.archiving.as_done import (  # noqa: PLC0415
        as_done_json,
        as_done_lines,
    )

    del folders
    held = kept.kept(kept.file_named(name))
    entry = held.job()
    if entry is None:
        raise Refused(f"{relative(kept.root / held.file)} holds no record any more.")
    job = held.job(kept.sheet(entry.record.procedure, entry.record.digest)) or entry
    if as_json:
        write_json(as_done_json(held, job))
    else:
        write_text("".join(f"{line}\n" for line in as_done_lines(held, job, words=words)))
    return ExitCode.CLEAN


@archive.command(epilog=EXIT_CODES)
@with_archive
def check(kept: Archive, folders: Folders) -> int:
    """Tell what in the archive is not as it was written: edited, cut off, gone, copied in."""
    from procedures_lib.fronts.cli.archiving.soundness import troubles  # noqa: PLC0415

    del folders
    kept.expected()
    number = 0
    for number, each in enumerate(troubles(kept), start=1):  # noqa: B007 - counted
        place = relative(kept.root / each.file)
        click.echo(printable(f"{place}: error: {each.kind}: {each.message}"))
        click.echo(f"    {each.hint}")
    total = counted(kept.catalogue.count(), "record")
    click.echo(f"{total}, {counted(number, 'finding') if number else 'no findings'}")
    return ExitCode.FINDINGS if number else ExitCode.CLEAN


@archive.command(epilog=EXIT_CODES)
@with_archive
def index(kept: Archive, folders: Folders) -> int:
    """Make the index anew from the files, and end what was stopped half-way.

    It is made by itself when it is missing or behind; this is for one that is doubted. Nothing
    that somebody has edited is put right: `procedures archive check` goes on telling it.
    """
    from procedures_lib.fronts.cli.archiving.soundness import mend  # noqa: PLC0415

    del folders
    if not kept.key.is_there:
        kept.expected()
    with kept.writing(anew=True):
        for each in mend(kept):
            click.echo(printable(f"{relative(kept.root / each.file)}: put right: {each.message}"))
        click.echo(counted(kept.catalogue.count(), "record"))
        for file, why in kept.catalogue.unread:
            click.echo(printable(f"{relative(kept.root / file)}: not in the index: {why}"))
    return ExitCode.FINDINGS if kept.catalogue.unread else ExitCode.CLEAN


@archive.command(epilog=EXIT_CODES)
@click.argument("states", nargs=-1, metavar="[STATE]…", type=Word())
@with_archive
def sheets(states: tuple[str, ...], kept: Archive, folders: Folders) -> int:
    """Keep the sheets of all procedures, so that records of them can be shown as they were done.

    `add` keeps those that it needs of the pages as they are. Each STATE is a folder of pages or a
    revision of git, for records of older pages.
    """
    from procedures_lib.fronts.cli.archiving.intake import keep_sheets  # noqa: PLC0415
    from procedures_lib.fronts.cli.revision import folder_state, state_named  # noqa: PLC0415

    chosen = [state_named(word, folders) for word in states]
    chosen = chosen or [folder_state(folders.pages, "the pages now", folders.shop)]
    with kept.writing():
        for state in chosen:
            new, total = keep_sheets(kept, state.manual)
            click.echo(f"{state.name}: {counted(total, 'sheet')}, {new} of them new")
    return ExitCode.CLEAN


@archive.command(epilog=EXIT_CODES)
@click.argument("names", nargs=-1, metavar="[NAME]…", type=Word())
@click.option("--registration", type=Word(), metavar="TEXT", help="All of this order or plate.")
@click.option("--whole", is_flag=True, help="Delete the records whole, readings and all.")
@click.option("--yes", is_flag=True, help="Don't ask.")
@with_archive
def forget(
    names: tuple[str, ...],
    registration: str | None,
    whole: bool,
    yes: bool,
    kept: Archive,
    folders: Folders,
) -> int:
    """Take a customer out of the archive.

    Reference, hash, initials, words and pictures of remarks go; car, times and readings stay for
    what they teach, unless `--whole` is given. The journal notes that it was done, not for whom; a
    record that was forgotten is not put in again.
    """
    from procedures_lib.fronts.cli.archiving.questions import query_of  # noqa: PLC0415

    kept.expected()
    files = [kept.file_named(name) for name in names]
    if registration:
        asked = query_of(kept, folders, {"registration": registration})
        of_plate = [entry.file for entry in kept.find(asked)]
        if not of_plate:
            raise Refused(_no_plate(kept, registration))
        files += of_plate
    if not files:
        raise Refused("there is nothing to forget: name records, or give --registration.")
    for file in files:
        click.echo(printable(relative(kept.root / file)))
    what = "Delete" if whole else "Take the customer out of"
    if not yes:
        click.confirm(f"{what} {counted(len(files), 'record')} for good?", abort=True)
    with kept.writing():
        for file in dict.fromkeys(files):
            now = kept.forget(file, whole=whole)
            click.echo("  deleted" if whole else printable(f"  now {relative(kept.root / now)}"))
        kept.catalogue.ready()
        (kept.root / "lessons.json").unlink(missing_ok=True)
    return ExitCode.CLEAN


def _no_plate(kept: Archive, registration: str) -> str:
    said = f"no record in {relative(kept.root)} has the registration `{registration}`"
    if kept.settings.registration == "leave-out":
        return f"{said}: the shop's file leaves them out; name the records that `find` lists."
    hint = "Look for car and day with `procedures archive find`, and name the records."
    return f"{said}; nothing was changed.\n{hint}"
