"""``procedures recall``: the jobs that were done to a number that has changed since."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.findings import counted, printable
from procedures_lib.fronts.cli.archive import with_archive
from procedures_lib.fronts.cli.arguments import (
    Folders,
    Word,
    relative,
    with_format,
    with_width,
)
from procedures_lib.fronts.cli.terminal import (
    EXIT_CODES,
    ExitCode,
    folded,
    write_json,
    write_text,
)
from procedures_lib.fronts.cli.terminal import width as columns
from procedures_lib.fronts.formats.table_text import spaced

if TYPE_CHECKING:
    from procedures_lib.fronts.cli.archiving.store import Archive
    from procedures_lib.fronts.cli.revision import State
    from procedures_lib.fronts.tables.table import Table
    from procedures_lib.judging.recall import Concern, Recalled

FORMAT = 1


@click.command(epilog=EXIT_CODES)
@click.argument("old", type=Word())
@click.argument("new", required=False, metavar="[NEW]", type=Word())
@with_format("text", "csv", "json", about="How to write the list.")
@with_width
@with_archive
def recall(
    old: str, new: str | None, kept: Archive, folders: Folders, form: str, width: int | None
) -> int:
    """List the jobs in the archive that were done to what has changed since.

    OLD and NEW are each a folder of pages or a revision of git, as `procedures compare` takes them;
    without NEW it is the pages now. Torques, stages, orders, hardware and parts of kits count. Each
    job stands by car and day with what was read at the joint, and what has to be checked; one whose
    record can't tell is listed too.

    A page, block or field that can't be read in one of them, and a procedure, kit or car that NEW
    has no more, is named with file and line, with the jobs done by it: "not compared".

    The exit code is 1 when there are such jobs, or when something could not be compared.
    """
    from procedures_lib.fronts.cli.archiving.catalogue import Query  # noqa: PLC0415
    from procedures_lib.fronts.cli.revision import folder_state, state_named  # noqa: PLC0415
    from procedures_lib.judging.compare import compare  # noqa: PLC0415
    from procedures_lib.judging.recall import concerns_of, renamed_procedures  # noqa: PLC0415
    from procedures_lib.judging.recall import recall as recalled  # noqa: PLC0415

    kept.expected()
    before = state_named(old, folders)
    after = state_named(new, folders) if new else folder_state(folders.pages, "the pages now",
                                                               folders.shop)  # fmt: skip
    comparison = compare(before.manual, after.manual, (before.digest, after.digest))
    concerns = concerns_of(comparison, before.manual, after.manual)
    names = sorted({name for each in concerns for name in each.procedures})
    jobs = (job for name in names for job in kept.jobs(Query(procedure=name)))
    renamed = renamed_procedures(comparison)
    found = recalled(concerns, jobs, before.manual, after.manual, renamed)
    told = _Told(before, after, concerns, found)
    if form == "json":
        write_json(told.value())
    elif form == "csv":
        from procedures_lib.fronts.formats import csv_text  # noqa: PLC0415

        write_text(csv_text(_table(found)))
        click.echo("".join(f"{line}\n" for line in told.gap_lines), err=True, nl=False)
    else:
        write_text(folded(told.text(), columns(width)))
    return ExitCode.FINDINGS if found or told.gaps else ExitCode.CLEAN


@dataclass(frozen=True)
class _Told:
    """What there is to say of two states: what was not compared, and the jobs."""

    before: State
    after: State
    concerns: list[Concern]
    found: list[Recalled]

    @property
    def gaps(self) -> list[Concern]:
        """What could not be compared."""
        return [each for each in self.concerns if each.why]

    @property
    def gap_lines(self) -> list[str]:
        """Each of these with file and line."""
        return [f"{self._where(each)}: not compared: {_gap(each)}" for each in self.gaps]

    def _where(self, each: Concern) -> str:
        return f"{self._file(each)}:{each.change.place.line} ({each.side})"

    def _file(self, each: Concern) -> str:
        pages = (self.after if each.side == "new" else self.before).pages
        return Path(relative(pages / each.change.place.page)).as_posix()

    def value(self) -> dict[str, Any]:
        """The same for a program."""
        gaps = [
            {
                "file": self._file(each),
                "line": each.change.place.line,
                "side": each.side,
                "what": _gap(each),
                "procedures": sorted(each.procedures),
            }
            for each in self.gaps
        ]
        return {"format": FORMAT, "old": self.before.name, "new": self.after.name,
                "not_compared": gaps, "jobs": [_value(each) for each in self.found]}  # fmt: skip

    def text(self) -> str:
        """The same in words."""
        lines = [*self.gap_lines, *_job_lines(self.found)]
        jobs = len({each.job.name for each in self.found})
        told = (
            f"{counted(jobs, 'job')} to look at" if jobs else "no job in the archive is concerned"
        )
        if self.gaps and not jobs:
            told = "no job that could be compared is concerned"
        changes = counted(len(self.concerns) - len(self.gaps), "change")
        gaps = f", {len(self.gaps)} not compared" if self.gaps else ""
        names = f"{self.before.name} → {self.after.name}"
        lines.append(f"{names}: {changes} that can concern a car{gaps}; {told}.")
        return "".join(f"{printable(spaced(line))}\n" for line in lines)


def _gap(each: Concern) -> str:
    thing = each.change.thing
    name = thing.name if thing.kind == "page" else f"{thing.kind} `{thing.id}`"
    return f"{name}: {each.why}"


def _job_lines(found: list[Recalled]) -> Iterator[str]:
    last = ""
    for each in found:
        job = each.job
        if job.name != last:
            options = [f"{o}={v}" for o, v in job.record.car.items() if v]
            car = ", ".join([job.vehicle or "no car stated", *options])
            about = f"{job.record.procedure} revision {job.record.revision}"
            who = f" ({job.registration})" if job.registration else ""
            yield f"{job.day or 'no day'}  {car}{who}: {about}"
            yield f"    {job.name}"
            last = job.name
        yield f"    {_check(each)}"


def _check(each: Recalled) -> str:
    from procedures_lib.judging.compare.report import became, what  # noqa: PLC0415
    from procedures_lib.judging.recall import DONE_TO  # noqa: PLC0415

    change = each.change
    if each.concern.why:
        return f"not compared: {_gap(each.concern)}"
    read = "; ".join(each.readings)
    done = f" — read: {read}" if read else ""
    return f"check {what(change)}: {became(change)} ({DONE_TO[each.done_to]}){done}"


def _value(each: Recalled) -> dict[str, Any]:
    job, change = each.job, each.change
    return {
        "name": job.name,
        "day": str(job.day or ""),
        "vehicle": job.vehicle,
        "car": dict(job.record.car),
        "registration": job.registration,
        "procedure": job.record.procedure,
        "revision": job.record.revision,
        "thing": change.thing.id or change.thing.name,
        "topic": change.topic,
        "old": spaced(change.old),
        "new": spaced(change.new),
        "harm": change.harm.name.lower(),
        "done_to": each.done_to,
        "readings": list(each.readings),
    }


def _table(found: list[Recalled]) -> Table:
    from procedures_lib.fronts.tables.table import Column, Row, Table, cell  # noqa: PLC0415

    keys = ("day", "vehicle", "car", "registration", "procedure", "revision", "thing", "topic",
            "old", "new", "harm", "done_to", "readings", "name")  # fmt: skip
    rows = []
    for each in found:
        value = _value(each)
        value["car"] = ", ".join(f"{o}={v}" for o, v in value["car"].items() if v)
        value["readings"] = "; ".join(value["readings"])
        rows.append(Row(tuple(cell(printable(str(value[key]))) for key in keys)))
    return Table("recall", "Recalled", tuple(Column(key, key) for key in keys), tuple(rows))
