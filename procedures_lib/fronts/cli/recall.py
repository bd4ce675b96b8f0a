"""``procedures recall``: the jobs that were done to a number that has changed since."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from procedures_lib.findings import counted, printable
from procedures_lib.fronts.cli.archive import with_archive
from procedures_lib.fronts.cli.arguments import (
    Folders,
    Word,
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
    from procedures_lib.fronts.tables.table import Table
    from procedures_lib.judging.recall import Recalled

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

    The exit code is 1 when there are such jobs.
    """
    from procedures_lib.fronts.cli.archiving.catalogue import Query  # noqa: PLC0415
    from procedures_lib.fronts.cli.revision import folder_state, state_named  # noqa: PLC0415
    from procedures_lib.judging.compare import compare  # noqa: PLC0415
    from procedures_lib.judging.recall import matters, procedures_of  # noqa: PLC0415
    from procedures_lib.judging.recall import recall as recalled  # noqa: PLC0415

    kept.expected()
    before = state_named(old, folders)
    after = state_named(new, folders) if new else folder_state(folders.pages, "the pages now",
                                                               folders.shop)  # fmt: skip
    comparison = compare(before.manual, after.manual, (before.digest, after.digest))
    changes = [change for change in comparison.changes if matters(change)]
    concerned = sorted({name for each in changes for name in procedures_of(each, before.manual)})
    jobs = (job for name in concerned for job in kept.jobs(Query(procedure=name)))
    found = recalled(changes, jobs, before.manual, after.manual)
    if form == "json":
        write_json({"format": FORMAT, "old": before.name, "new": after.name,
                    "jobs": [_value(each) for each in found]})  # fmt: skip
    elif form == "csv":
        from procedures_lib.fronts.formats import csv_text  # noqa: PLC0415

        write_text(csv_text(_table(found)))
    else:
        names = f"{before.name} → {after.name}"
        write_text(folded(_text(found, len(changes), names), columns(width)))
    return ExitCode.FINDINGS if found else ExitCode.CLEAN


def _text(found: list[Recalled], changes: int, names: str) -> str:
    lines: list[str] = []
    last = ""
    for each in found:
        job = each.job
        if job.name != last:
            options = [f"{o}={v}" for o, v in job.record.car.items() if v]
            car = ", ".join([job.vehicle or "no car stated", *options])
            about = f"{job.record.procedure} revision {job.record.revision}"
            who = f" ({job.registration})" if job.registration else ""
            lines += [f"{job.day or 'no day'}  {car}{who}: {about}", f"    {job.name}"]
            last = job.name
        lines += [f"    {line}" for line in _check(each)]
    jobs = len({each.job.name for each in found})
    told = f"{counted(jobs, 'job')} to look at" if found else "no job in the archive is concerned"
    lines.append(f"{names}: {counted(changes, 'change')} that can concern a car; {told}.")
    return "".join(f"{printable(spaced(line))}\n" for line in lines)


def _check(each: Recalled) -> list[str]:
    from procedures_lib.judging.compare.report import became, what  # noqa: PLC0415
    from procedures_lib.judging.recall import DONE_TO  # noqa: PLC0415

    change = each.change
    read = "; ".join(each.readings)
    done = f" — read: {read}" if read else ""
    return [f"check {what(change)}: {became(change)} ({DONE_TO[each.done_to]}){done}"]


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
