"""The sheet of a job as it was done, in words and for programs."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from procedures_lib.findings import printable
from procedures_lib.fronts.cli.archiving.kept_file import Kept, remarks_aside
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.judging.records.job import Job
from procedures_lib.judging.records.record import Reading
from procedures_lib.judging.records.sheet import Sheet, SheetReading, SheetStep, band_text

FORMAT = 1


def as_done_lines(kept: Kept, job: Job, *, words: bool) -> Iterator[str]:
    """Yield the sheet of a job as lines; ``words`` adds what the page said at each step."""
    yield from (printable(spaced(line)) for line in _lines(kept, job, words=words))


def _lines(kept: Kept, job: Job, *, words: bool) -> Iterator[str]:
    record, sheet = job.record, job.sheet
    title = f": {sheet.title}" if sheet else ""
    yield f"{record.procedure} revision {record.revision}{title}"
    options = [f"{option}={value}" for option, value in record.car.items() if value]
    yield f"Car: {', '.join([job.vehicle or 'not stated', *options])}"
    reference = kept.record.get("reference")
    if isinstance(reference, str) and reference.strip():
        yield f"Reference: {reference.strip()}"
    elif kept.registration:
        yield f"Registration: not kept, its hash is {kept.registration}"
    yield f"Begun {_moment(job.begun)}, saved {_moment(job.saved)}"
    if sheet is None:
        yield f"The page of that day ({record.digest}) is not kept: the record alone is shown."
        yield "`procedures archive sheets STATE` keeps the sheets of an older manual."
    yield ""
    yield from _steps(job, sheet, words=words)
    for kind, text in remarks_aside(kept.record):
        yield f"Remark at a step that the page no longer had, {kind}: {text or 'no words'}"


def _steps(job: Job, sheet: Sheet | None, *, words: bool) -> Iterator[str]:
    done = {step.number: step.done for step in job.record.steps}
    readings: dict[int, list[Reading]] = defaultdict(list)
    for reading in job.record.readings:
        readings[reading.step].append(reading)
    known = sheet.step_by_number if sheet else {}
    remarked = {remark.step for remark in job.remarks}
    for number in sorted(known.keys() | done.keys() | readings.keys() | remarked):
        step = known.get(number)
        state, title = _state(number, done, step, sheet, job), step.title if step else ""
        yield f"{number:>4}  {state:<17} {title}".rstrip()
        if words and step:
            yield from (f"{'':24}{line}" for line in (*step.actions, *step.text.splitlines()))
        for reading in readings[number]:
            yield f"{'':24}{_reading(reading, sheet)}"
        for remark in job.remarks:
            if remark.step == number:
                picture = " (with a picture)" if remark.picture else ""
                yield f"{'':24}Remark, {remark.kind}: {remark.text or 'no words'}{picture}"


def _state(
    number: int,
    done: dict[int, datetime.datetime | None],
    step: SheetStep | None,
    sheet: Sheet | None,
    job: Job,
) -> str:
    if number in done:
        at = done[number]
        return f"{at:%Y-%m-%d %H:%M}" if at else "done, no time"
    if step and sheet and sheet.is_for(step.when, job.record.car) is False:
        return "not for this car"
    return "not ticked" if step else "no such step"


def _reading(reading: Reading, sheet: Sheet | None) -> str:
    key = (reading.step, reading.joint, reading.stage)
    asked = next((each for each in sheet.readings if each.key == key), None) if sheet else None
    name = asked.name if asked else reading.joint
    tail = [each for each in (reading.wrench, reading.initials) if each]
    if reading.at:
        tail.append(f"{reading.at:%H:%M}")
    said = f"{name}, stage {reading.stage}: {reading.value} {reading.unit} read".replace("  ", " ")
    signed = f" ({', '.join(tail)})" if tail else ""
    return f"{said}{_wanted(asked)}{signed}"


def _wanted(asked: SheetReading | None) -> str:
    return f", {asked.wanted} wanted, {band_text(asked)} would do" if asked else ""


def _moment(at: datetime.datetime | None) -> str:
    return f"{at:%Y-%m-%d %H:%M}" if at else "(no time)"


def as_done_json(kept: Kept, job: Job) -> dict[str, Any]:
    """Return the record as it is kept, beside the sheet of that day or None."""
    return {
        "format": FORMAT,
        "file": kept.file,
        "registration": kept.registration,
        "record": kept.record,
        "sheet": asdict(job.sheet) if job.sheet else None,
    }
