"""An archive that never was: jobs on the demo's cars, with effects to be found in them.

``python -m tests.invented_jobs FOLDER [JOBS [SEED]]`` writes their records and the pages as they
were before the last revision, as ``FOLDER/records`` and ``FOLDER/older``. All is invented: cars,
times, readings, people.
"""

from __future__ import annotations

import datetime
import json
import random
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from procedures_lib.judging.records.job import Job, read_job
from procedures_lib.judging.records.sheet import Sheet, SheetReading, sheet_of
from procedures_lib.language.entities.builder import build
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from tests.demo import PROJECT, demo

JOBS, SEED = 240, 22
PAGE = "procedures/fit-tf-220.md"
SLOW, SLOW_TIMES = "hoses-on", 1.9
LOW_WRENCH, LOW_BY = "click-25", 0.03
UNCLEAR, WORDS = "sensor-moved", "which way round the seal goes"
KITS = ("fit-tf-220", "fit-tf-140", "fit-tf-260", "fit-bd-310")
NOW = datetime.datetime(2027, 12, 31, tzinfo=datetime.UTC)
_PEOPLE = ("AB", "CD", "EF")
_ZONE = datetime.timezone(datetime.timedelta(hours=1))


@dataclass(frozen=True)
class Effects:
    """What is wrong in an archive, by the key of a step of the cooler's page, or a wrench's id.

    ``slow`` multiplies times, ``low`` is the share by which a wrench reads low, ``remarks`` the
    chance of a remark at a step of an older revision.
    """

    slow: Mapping[str, float] = field(default_factory=dict)
    low: Mapping[str, float] = field(default_factory=dict)
    remarks: Mapping[str, float] = field(default_factory=dict)


NONE = Effects()
DEMO = Effects({SLOW: SLOW_TIMES}, {LOW_WRENCH: LOW_BY}, {UNCLEAR: 0.45})


def sheet_in(manual: Manual, procedure: str) -> Sheet:
    """The sheet of a procedure in a state of the manual."""
    head = manual.head(Procedure, procedure)
    assert head is not None
    return sheet_of(manual.plan(head), head.revision)


@cache
def older() -> Manual:
    """The demo as it was before revision C of the cooler's page said how the sensor's seal goes."""
    raw = (PROJECT / "docs" / PAGE).read_text(encoding="utf-8")
    return demo().with_pages([build(read_page(older_text(raw).encode(), PAGE))])


def older_text(raw: str) -> str:
    """The page of the cooler as it was at revision B: its sensor step says less."""
    head, mark, rest = raw.partition(f"id: {UNCLEAR}\n")
    options, fence, body = rest.partition("---\n")
    first, rest = body.split("\n", 1)
    del first
    assert mark
    return head.replace("revision: C", "revision: B") + mark + options + fence + rest


@cache
def sheets(procedures: tuple[str, ...] = KITS) -> tuple[tuple[Sheet, Sheet], ...]:
    """Of each procedure the sheet before and the sheet now."""
    return tuple((sheet_in(older(), name), sheet_in(demo(), name)) for name in procedures)


def records(
    jobs: int = JOBS,
    seed: int = SEED,
    effects: Effects = DEMO,
    procedures: tuple[str, ...] = KITS,
    spread: float = 0.25,
) -> Iterator[dict[str, Any]]:
    """Yield records as the page saves them, in the order of their days, the same for one seed."""
    rng = random.Random(seed)  # noqa: S311
    day = datetime.date(2025, 1, 6)
    for n in range(jobs):
        pair = rng.choice(sheets(procedures))
        sheet = pair[0] if n < jobs // 2 else pair[1]
        yield _Bay(rng, sheet, effects, spread, older=n < jobs // 2).record(n, day)
        day += datetime.timedelta(days=rng.choice((1, 1, 2, 4)))


@dataclass
class _Bay:
    """One job at work."""

    rng: random.Random
    sheet: Sheet
    effects: Effects
    spread: float
    older: bool

    @property
    def _has_effects(self) -> bool:
        return self.sheet.procedure in {KITS[0], "load-tf-100"}

    def record(self, n: int, day: datetime.date) -> dict[str, Any]:
        car = {option: self.rng.choice(values) for option, values in self.sheet.options}
        ticks = self._ticks(car, datetime.datetime.combine(day, datetime.time(8, 10), _ZONE))
        begun = next(iter(ticks.values()))
        return {
            "format": 1, "procedure": self.sheet.procedure, "title": self.sheet.title,
            "revision": self.sheet.revision, "digest": self.sheet.digest,
            "vehicle": self.sheet.vehicle, "car": car, "reference": f"HL {n // 100}-{n % 100:02}",
            "begun": _text(begun), "saved": _text(max(ticks.values())),
            "steps": [{"number": number, "done": _text(at)} for number, at in ticks.items()],
            "readings": list(self._readings(car, ticks)), "set_aside": [],
            "remarks": list(self._remarks(ticks)),
        }  # fmt: skip

    def _ticks(self, car: Mapping[str, str], at: datetime.datetime) -> dict[int, datetime.datetime]:
        ticks = {}
        lunch = False
        for step in self.sheet.steps:
            if self.sheet.is_for(step.when, car) is False:
                continue
            slow = self.effects.slow.get(step.key, 1.0) if self._has_effects else 1.0
            took = (step.minutes or 5.0) * slow * self.rng.lognormvariate(0, self.spread)
            at += datetime.timedelta(minutes=took)
            if at.hour >= 12 and not lunch:
                at, lunch = at + datetime.timedelta(minutes=45), True
            if at.hour >= 17:
                at = datetime.datetime.combine(
                    at.date() + datetime.timedelta(days=1), datetime.time(8), _ZONE
                ) + datetime.timedelta(minutes=took)  # fmt: skip
                lunch = False
            ticks[step.number] = at
        return ticks

    def _readings(
        self, car: Mapping[str, str], ticks: Mapping[int, datetime.datetime]
    ) -> Iterator[dict[str, Any]]:
        first, second = self.rng.sample(_PEOPLE, 2)
        swap = self.rng.choice(list(ticks)) if self.rng.random() < 0.2 else 10_000
        for asked in self.sheet.readings:
            if asked.step not in ticks or self.sheet.is_for(asked.when, car) is False:
                continue
            wrench = _wrench(asked)
            low = self.effects.low.get(wrench, 0.0)
            value = asked.nominal * (1 - low + self.rng.gauss(0, 0.008))
            yield {"step": asked.step, "joint": asked.joint, "stage": asked.stage,
                   "value": f"{value:.3g}", "unit": asked.unit, "wrench": wrench,
                   "initials": first if asked.step < swap else second,
                   "at": _text(ticks[asked.step])}  # fmt: skip

    def _remarks(self, ticks: Mapping[int, datetime.datetime]) -> Iterator[dict[str, Any]]:
        for step in self.sheet.steps:
            if step.number not in ticks:
                continue
            often = self.effects.remarks.get(step.key, 0.0) if self.older else 0.0
            at = _text(ticks[step.number])
            if self.rng.random() < often:
                yield {"step": step.number, "kind": "unclear", "text": WORDS, "at": at}
            elif self.rng.random() < 0.004:
                kind = self.rng.choice(("wrong", "missing", "unclear", "slow"))
                yield {"step": step.number, "kind": kind, "text": "", "at": at}


@cache
def _wrench(asked: SheetReading) -> str:
    """The shop's first tool that the reading can be taken with."""
    if asked.unit != "N·m":
        return "gauge-half-inch" if asked.unit == "°" else ""
    wrenches = demo().shop.torque_wrenches
    fits = (w for w in wrenches if w.scale[0] <= asked.nominal <= w.scale[1] and "dial" not in w.id)
    wrench = next(fits, None)
    return str(wrench.id) if wrench else ""


def _text(at: datetime.datetime) -> str:
    return at.isoformat(timespec="seconds")


def jobs_of(values: Iterator[dict[str, Any]], procedures: tuple[str, ...] = KITS) -> list[Job]:
    """Records as jobs, each with its sheet."""
    known = {sheet.digest: sheet for pair in sheets(procedures) for sheet in pair}
    found = []
    for n, value in enumerate(values):
        job, findings = read_job(value, f"job-{n:03}", known.get(value["digest"]))
        assert job is not None
        assert findings == []
        found.append(job)
    return found


def write_records(folder: Path, jobs: int = JOBS, seed: int = SEED) -> list[str]:
    """Write records as files into a folder; return their names, in the order of their days."""
    folder.mkdir(parents=True)
    names = []
    for n, value in enumerate(records(jobs, seed)):
        path = folder / f"job-{n:04}.json"
        path.write_text(json.dumps(value, ensure_ascii=False, indent=1), encoding="utf-8")
        names.append(str(path))
    return names


def write_older(folder: Path) -> Path:
    """Write the pages as they were before revision C of the cooler's page; return their folder."""
    for source in (PROJECT / "docs").rglob("*.md"):
        path = folder / source.relative_to(PROJECT / "docs")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(source.read_bytes())
    page = folder / PAGE
    page.write_text(older_text(page.read_text(encoding="utf-8")), encoding="utf-8")
    return folder


if __name__ == "__main__":
    write_records(Path(sys.argv[1]) / "records", *map(int, sys.argv[2:]))
    write_older(Path(sys.argv[1]) / "older")
