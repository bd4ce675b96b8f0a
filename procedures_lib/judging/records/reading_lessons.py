"""What readings teach: of joints, how often at the edge; of wrenches, whether they read low."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import median

from procedures_lib.engineering.quantities import QuantityError
from procedures_lib.engineering.statistics.median import binomial_from, middle, sign_test
from procedures_lib.engineering.statistics.share import share_of
from procedures_lib.engineering.statistics.trend import slope, slope_interval, trend_chance
from procedures_lib.judging.records.job import Job
from procedures_lib.judging.records.lesson import CONFIDENCE, Lesson
from procedures_lib.judging.records.readings import UNITS, reading_amount
from procedures_lib.judging.records.sheet import Sheet, SheetReading

EDGE = 0.1
"""Which part of the band, at either end, counts as its edge (common practice, no source)."""

WRENCH_MARGIN = 1.0
"""Per cent by which what a wrench reads may be off on the whole (common practice, no source)."""

_DAYS = 365.25
_LAST = 500
"""Of so many jobs at most a drift is worked out, the last ones: all pairs of them are looked at."""
_MOST_NAMED = 5


@dataclass(frozen=True, slots=True)
class Read:
    """A reading that could be read: its ``value`` in the unit of what was ``asked`` for."""

    job: Job
    asked: SheetReading
    value: float
    wrench: str

    @property
    def off(self) -> float:
        """By how many per cent it lies above what was wanted."""
        return 100 * (self.value - self.asked.nominal) / self.asked.nominal

    def limits(self, deviations: Mapping[str, float]) -> tuple[float, float]:
        """The limits that it is held against: those of the page, or what its wrench may be off."""
        if self.asked.own or self.wrench not in deviations:
            return self.asked.low, self.asked.high
        off = deviations[self.wrench] * self.asked.nominal
        return self.asked.nominal - off, self.asked.nominal + off

    def is_at_edge(self, deviations: Mapping[str, float]) -> bool:
        """Tell whether it lies at the edge of its limits, or outside."""
        low, high = self.limits(deviations)
        edge = EDGE * (high - low)
        return not low + edge <= self.value <= high - edge

    def text(self, deviations: Mapping[str, float]) -> str:
        """The job with what was read, and whether that is outside the limits."""
        low, high = self.limits(deviations)
        outside = "" if low <= self.value <= high else ", outside"
        return f"{self.job.name}: {self.value:g} {self.asked.unit}{outside}"


def reads_of(jobs: Iterable[Job]) -> Iterator[Read]:
    """Yield the readings of jobs that their sheets ask for, each once, where a number was typed."""
    for job in jobs:
        asked = {each.key: each for each in job.sheet.readings} if job.sheet else {}
        for reading in job.record.readings:
            wanted = asked.pop((reading.step, reading.joint, reading.stage), None)
            if wanted is None or wanted.nominal <= 0 or wanted.low <= 0:
                continue
            value = _value(reading.value, reading.unit, wanted.unit)
            if value is not None:
                yield Read(job, wanted, value, reading.wrench)


def unread_in(jobs: Iterable[Job]) -> int:
    """Return how many numbers that a sheet asks for were typed so that nobody can read them."""
    count = 0
    for job in jobs:
        units = {each.key: each.unit for each in job.sheet.readings} if job.sheet else {}
        for reading in job.record.readings:
            unit = units.get((reading.step, reading.joint, reading.stage))
            if unit and reading.value.strip():
                count += _value(reading.value, reading.unit, unit) is None
    return count


_MEASURES = {units[0]: measure for measure, units in UNITS.items()}


@lru_cache(maxsize=4096)
def _value(value: str, unit: str, wanted: str) -> float | None:
    try:
        amount = reading_amount(value, unit, _MEASURES[wanted])
    except QuantityError:
        return None
    return float(amount.exact_nominal(wanted))


def edge_lessons(
    sheet: Sheet, reads: Sequence[Read], deviations: Mapping[str, float]
) -> Iterator[Lesson]:
    """Yield how often each joint of a procedure is read at the edge of its limits.

    ``deviations`` are those of the shop's wrenches, as shares of the torque. It is held against
    readings that are spread evenly over their limits. What is wanted must be what it was then.
    """
    by_joint: dict[tuple[str, int, str], list[Read]] = defaultdict(list)
    for read in reads:
        if read.job.record.procedure == sheet.procedure:
            by_joint[read.asked.joint, read.asked.stage, read.asked.wanted].append(read)
    for asked in sheet.readings:
        found = by_joint.pop((asked.joint, asked.stage, asked.wanted), [])
        if not found:
            continue
        step = sheet.step_by_number[asked.step]
        there = [each for each in found if each.is_at_edge(deviations)]
        share = share_of(len(there), len(found), CONFIDENCE)
        yield Lesson(
            "edge", sheet.procedure, asked.step, step.key, step.digest,
            title=f"{asked.name}, stage {asked.stage}", about=asked.joint,
            jobs=share.count, hits=share.hits, value=share.share, low=share.low, high=share.high,
            expected=2 * EDGE, unit="share",
            chance=binomial_from(share.hits, share.count, 2 * EDGE),
            verdict="read at the edge of its limits more often than chance",
            named=tuple(each.text(deviations) for each in there[-_MOST_NAMED:]),
        )  # fmt: skip


def wrench_lessons(reads: Iterable[Read], names: Mapping[str, str]) -> Iterator[Lesson]:
    """Yield what each torque wrench reads beside what was wanted, in per cent, and its drift.

    One value a job, the median of what was read with it there: what is read on one day hangs
    together. ``names`` are the wrenches of the shop by id.
    """
    by_wrench: dict[str, dict[str, list[Read]]] = defaultdict(lambda: defaultdict(list))
    for read in reads:
        if read.wrench and read.asked.unit == UNITS["torque"][0]:
            by_wrench[read.wrench][read.job.name].append(read)
    for wrench, by_job in sorted(by_wrench.items()):
        off = {name: median(each.off for each in found) for name, found in by_job.items()}
        yield _reads_off(wrench, list(off.values()), names)
        days = {name: found[0].job.day for name, found in by_job.items()}
        dated = [(day.toordinal() / _DAYS, off[name]) for name, day in days.items() if day]
        yield _drifts(wrench, sorted(dated), names)


def _reads_off(wrench: str, off: Sequence[float], names: Mapping[str, str]) -> Lesson:
    found = middle(off, CONFIDENCE)
    low = sign_test(off, -WRENCH_MARGIN, above=False)
    high = sign_test(off, WRENCH_MARGIN, above=True)
    return Lesson(
        "wrench",
        title=names.get(wrench, wrench),
        about=wrench,
        jobs=found.count,
        value=found.median,
        low=found.low,
        high=found.high,
        spread=(found.lower_quarter, found.upper_quarter),
        expected=0.0,
        unit="%",
        chance=min(1.0, 2 * min(low, high)),
        verdict="reads low" if low < high else "reads high",
    )


def _drifts(wrench: str, dated: Sequence[tuple[float, float]], names: Mapping[str, str]) -> Lesson:
    late = dated[-_LAST:]
    times, off = [at for at, _ in late], [value for _, value in late]
    steep, ends = slope(times, off), slope_interval(times, off, CONFIDENCE)
    return replace(
        Lesson("drift", title=names.get(wrench, wrench), about=wrench, jobs=len(off)),
        value=steep,
        low=ends[0] if ends else None,
        high=ends[1] if ends else None,
        expected=0.0,
        unit="% a year",
        chance=trend_chance(times, off),
        verdict="reads less and less" if steep < 0 else "reads more and more",
    )
