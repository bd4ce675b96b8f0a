"""What records teach: effects put into an invented archive are found, and none where none is."""

from __future__ import annotations

import datetime
from dataclasses import replace
from itertools import pairwise

import pytest

from procedures_lib.fronts.tables.lesson_tables import summary_lines
from procedures_lib.judging.records.job import (
    Job,
    clock_faults,
    counted_jobs,
    hand_overs,
    read_job,
    step_times,
)
from procedures_lib.judging.records.learning import learn, missing_in
from procedures_lib.judging.records.lesson import FEWEST, RATE, Lesson, Lessons, judged
from procedures_lib.judging.records.sheet import read_sheet, sheet_json
from tests.demo import demo
from tests.invented_jobs import (
    KITS,
    LOW_WRENCH,
    NONE,
    NOW,
    SLOW,
    UNCLEAR,
    Effects,
    jobs_of,
    records,
    sheets,
)
from tests.records.samples import complete

SHORT = ("load-tf-100",)


def lessons_of(jobs: list[Job], procedures: tuple[str, ...] = KITS) -> Lessons:
    return learn(jobs, [now for _, now in sheets(procedures)], demo().shop, NOW)


@pytest.fixture(scope="module")
def taught() -> Lessons:
    return lessons_of(jobs_of(records()))


# -- effects -----------------------------------------------------------------------------------


def test_the_three_effects_are_found_and_no_other(taught: Lessons) -> None:
    found = {(each.kind, each.key or each.about, each.verdict) for each in taught.effects}
    assert found == {
        ("time", SLOW, "slower than planned"),
        ("answered", UNCLEAR, "fewer remarks since it was changed"),
        ("wrench", LOW_WRENCH, "reads low"),
    }


def test_what_is_found_is_as_large_as_it_was_made(taught: Lessons) -> None:
    by_kind = {each.kind: each for each in taught.effects}
    slow, wrench = by_kind["time"], by_kind["wrench"]
    assert slow.expected == 15
    assert slow.low is not None
    assert slow.high is not None
    assert slow.low <= 15 * 1.9 <= slow.high
    assert wrench.value == pytest.approx(-3, abs=0.2)
    assert by_kind["answered"].named == ("unclear: which way round the seal goes",)


def test_an_archive_without_effects_shows_none() -> None:
    for seed in range(3):
        assert lessons_of(jobs_of(records(120, seed, NONE))).effects == ()


def test_false_alarms_stay_at_the_rate() -> None:
    """Times whose medians lie at the very margin: the worst that counts as no effect."""
    plan = {step.key: 1.25 for step in sheets(SHORT)[0][1].steps}
    slow = Effects(slow=plan)
    alarms = 0
    for seed in range(100):
        jobs = jobs_of(records(30, seed, replace(slow), SHORT), SHORT)
        alarms += bool(lessons_of(jobs, SHORT).effects)
    assert alarms <= 11  # of 100 at a rate of 5 %, 12 or more are as rare as 1 in 250 (binomial)


def test_never_a_verdict_from_a_few_jobs() -> None:
    worst = Effects({SLOW: 9.0}, {LOW_WRENCH: 0.2}, {UNCLEAR: 1.0})
    jobs = jobs_of(records(FEWEST - 1, 3, worst, KITS[:1]))
    assert lessons_of(jobs).effects == ()
    assert lessons_of([]) == Lessons()


def test_chances_are_adjusted_for_each_other() -> None:
    rows = [Lesson("time", jobs=50, chance=chance, verdict="x") for chance in (0.01, 0.04, 0.2)]
    found, tests = judged([*rows, Lesson("variant")])
    assert tests == 3
    assert [each.chance for each in found] == [pytest.approx(0.03), 0.08, 0.2, None]
    assert [bool(each.verdict) for each in found] == [True, False, False, False]
    assert RATE == 0.05


# -- each kind of lesson -----------------------------------------------------------------------


def test_remarks_at_one_step_stand_out() -> None:
    jobs = jobs_of(records(80, 4, Effects(remarks={UNCLEAR: 0.3}), KITS[:1]))
    before = [job for job in jobs if job.record.revision == "B"]
    found = learn(before, [old for old, _ in sheets(KITS[:1])], demo().shop, NOW)
    (lesson,) = found.effects
    assert (lesson.kind, lesson.key) == ("remark", UNCLEAR)
    assert lesson.verdict == "remarked on more than the other steps"
    assert "unclear" in lesson.about


def test_hand_overs_at_one_step_stand_out() -> None:
    values = list(records(40, 5, NONE, KITS[:1]))
    for value in values[20:]:
        for reading in value["readings"]:
            reading["initials"] = "AB" if reading["step"] < 17 else "CD"
    jobs = jobs_of(iter(values[20:]))
    lesson = next(each for each in lessons_of(jobs).effects if each.kind == "hand-over")
    assert (lesson.step, lesson.hits, lesson.jobs) == (17, 20, 20)


def test_hand_overs_that_phones_tell_count_for_themselves() -> None:
    values = list(records(60, 5, NONE, KITS[:1]))[30:]
    for value in values[:12]:
        value["handovers"] = [{"step": 12, "at": value["saved"]}]
    found = [each for each in lessons_of(jobs_of(iter(values))).effects if each.kind == "hand-over"]
    assert [(each.step, each.hits, each.jobs) for each in found] == [(12, 12, 30)]


def test_a_wrench_that_drifts() -> None:
    values = list(records(80, 6, NONE, KITS[:1]))
    for n, value in enumerate(values):
        for reading in value["readings"]:
            if reading["wrench"] == "click-10":
                reading["value"] = f"{float(reading['value']) * (1 - n * 0.0004):.4g}"
    found = lessons_of(jobs_of(iter(values))).effects
    assert {(each.kind, each.about, each.verdict) for each in found} >= {
        ("drift", "click-10", "reads less and less")
    }
    lesson = next(each for each in found if each.kind == "drift")
    assert lesson.value is not None
    days = [job.day for job in jobs_of(iter(values)) if job.day]
    years = (days[-1] - days[0]).days / 365.25
    assert lesson.value == pytest.approx(-79 * 0.04 / years, rel=0.15)


def test_readings_at_the_edge() -> None:
    values = list(records(40, 7, NONE, KITS[:1]))
    for value in values[20:]:
        for reading in value["readings"]:
            if reading["joint"] == "towing-eye":
                reading["value"] = "62.3"  # of 60 ± 4 %
    effects = lessons_of(jobs_of(iter(values[20:]))).effects
    (lesson,) = [each for each in effects if each.kind == "edge"]
    assert (lesson.about, lesson.hits) == ("towing-eye", lesson.jobs)


def test_a_kit_that_is_short_stands_out() -> None:
    values = list(records(80, 8, NONE))
    for value in values:
        if value["procedure"] == KITS[0]:
            value["remarks"] = [{"step": 1, "kind": "missing", "text": "no TF-220-15 in it"}]
    jobs = jobs_of(iter(values))
    (lesson,) = [each for each in lessons_of(jobs).effects if each.kind == "kit"]
    assert (lesson.about, lesson.value) == ("tf-220", 1)
    assert lesson.named[0].startswith("TF-220-15: ")


def test_what_is_missing_elsewhere_is_no_short_kit() -> None:
    value = next(records(1, 9, NONE, KITS[:1]))
    value["remarks"] = [{"step": 12, "kind": "missing", "text": "a word on the clamp"},
                        {"step": 1, "kind": "missing", "text": ""}]  # fmt: skip
    (job,) = jobs_of(iter([value]))
    assert job.sheet is not None
    assert missing_in(job, job.sheet) == ["something"]


def test_cars_that_nobody_has_done() -> None:
    values = [each for each in records(60, 10, NONE, KITS[:1])
              if each["car"]["transmission"] == "manual"]  # fmt: skip
    found = lessons_of(jobs_of(iter(values))).of("variant")
    assert [each.about for each in found] == ["transmission=automatic"]
    assert found[0].high == pytest.approx(1.96**2 / (len(values) + 1.96**2), rel=1e-3)  # Wilson, 0


def test_jobs_without_their_page_are_counted_and_teach_nothing() -> None:
    jobs = [replace(job, sheet=None) for job in jobs_of(records(20, 11))]
    found = lessons_of(jobs)
    assert (found.jobs, found.without_page, found.tests) == (20, 20, 0)


def test_readings_that_no_one_can_read_are_counted_and_those_outside_are_called_so() -> None:
    values = list(records(20, 11, NONE, KITS[:1]))
    first, second, third = values[0]["readings"][:3]
    assert lessons_of(jobs_of(iter(values))).unread == 0
    first["value"], second["unit"], third["value"] = "OK", "mm", "1"
    found = lessons_of(jobs_of(iter(values)))
    assert found.unread == 2
    assert "2 readings left out" in " ".join(summary_lines(found))
    named = [text for lesson in found.of("edge") for text in lesson.named]
    assert [text for text in named if text.endswith(", outside")] == [
        f"job-000: 1 {third['unit']}, outside"
    ]


def test_outliers_are_named() -> None:
    values = list(records(40, 12, NONE, KITS[:1]))[20:]
    late = datetime.datetime.fromisoformat(values[0]["steps"][2]["done"])
    for step in values[0]["steps"][2:]:
        done = datetime.datetime.fromisoformat(step["done"])
        step["done"] = (done + datetime.timedelta(minutes=95)).isoformat()
    jobs = jobs_of(iter(values))
    lesson = next(each for each in lessons_of(jobs).of("time") if each.step == 3)
    assert late.hour < 11  # before the break, which is left out
    minutes = lesson.named[0].removeprefix("job-000: ").removesuffix(" min")
    assert 95 < float(minutes) < 110


# -- times -------------------------------------------------------------------------------------


def ticked(*times: str) -> Job:
    """A job whose steps were ticked at these times of 2026-11-25, or at full ones."""
    steps = [
        {"number": n, "done": at if "T" in at else f"2026-11-25T{at}:00+01:00"}
        for n, at in enumerate(times, start=1)
    ]
    job, _ = read_job({**complete(), "steps": steps, "begun": steps[0]["done"]})
    assert job is not None
    return job


def took(job: Job, *rests: tuple[datetime.time, datetime.time]) -> dict[int, float]:
    return {each.number: each.minutes for each in step_times(job, NOW, rests)}


def test_a_step_takes_from_the_tick_before_it() -> None:
    assert took(ticked("08:00", "08:10", "08:25")) == {2: 10, 3: 15}


def test_steps_done_in_another_order_take_from_the_tick_before_them() -> None:
    assert took(ticked("08:00", "08:25", "08:10")) == {3: 10, 2: 15}


def test_nights_are_no_time_of_a_step() -> None:
    assert took(ticked("16:50", "2026-11-26T08:05:00+01:00", "2026-11-26T08:15:00+01:00")) == {
        3: 10
    }


def test_breaks_of_the_shop_are_no_time_of_a_step() -> None:
    rest = (datetime.time(12), datetime.time(12, 45))
    job = ticked("11:50", "12:50", "13:00", "13:05")
    assert took(job) == {2: 60, 3: 10, 4: 5}
    assert took(job, rest) == {3: 10, 4: 5}


def test_what_was_left_for_hours_is_no_time_of_a_step() -> None:
    assert took(ticked("08:00", "12:01", "12:11")) == {3: 10}


def test_ticks_made_together_tell_nothing() -> None:
    times = ["08:00", "2026-11-25T08:30:00+01:00", "2026-11-25T08:30:05+01:00", "08:40"]
    assert took(ticked(*times)) == {4: pytest.approx(10 - 5 / 60)}


def test_times_that_can_not_be_are_left_out() -> None:
    job = ticked("08:00", "2199-01-01T00:00:00Z", "1999-01-01T00:00:00Z", "08:10")
    assert took(job) == {4: 10}
    assert [fault.path for fault in clock_faults(job, NOW)] == [
        "$.steps[1].done", "$.steps[2].done",
    ]  # fmt: skip


@pytest.mark.parametrize("begun", ["1970-01-01T00:00:00Z", "2099-01-01T00:00:00Z"])
def test_a_begin_that_can_not_be_is_no_day(begun: str) -> None:
    value = next(records(1, 13, NONE, KITS[:1]))
    before = value["begun"][:10]
    (job,) = jobs_of(iter([value | {"begun": begun}]))
    found = lessons_of([job])
    assert (found.since, found.until) == (before, before)
    assert any(lesson.value for lesson in found.of("time"))


def test_hand_overs_are_where_other_initials_begin() -> None:
    value = complete()
    for reading, step, who in zip(value["readings"], (2, 3, 3), ("AB", "CD", "CD"), strict=True):
        reading.update(step=step, initials=who)
    job, _ = read_job(value)
    assert job is not None
    assert hand_overs(job) == [3]
    value["handovers"] = [{"step": 2, "at": ""}, {"step": 1}, {"at": "x"}, 7]
    job, findings = read_job(value)
    assert job is not None
    assert hand_overs(job) == [1, 2]  # as the phones tell it
    assert [each.path for each in findings] == ["$.handovers[2].step", "$.handovers[2].at",
                                                "$.handovers[3]"]  # fmt: skip


def test_of_several_records_of_a_job_the_fullest_counts() -> None:
    (job,) = jobs_of(records(1, 13, NONE, KITS[:1]))
    half = replace(job, name="half", record=replace(job.record, readings=()))
    other = replace(job, name="other", vehicle="ox")
    assert counted_jobs([half, job, other]) == [job, other]


# -- sheets ------------------------------------------------------------------------------------


def test_sheets_come_back_as_they_were() -> None:
    for pair in sheets():
        for sheet in pair:
            assert read_sheet(sheet_json(sheet)) == sheet
    assert read_sheet(b"{}") is None
    assert read_sheet(sheet_json(sheets()[0][0])[:500]) is None


def test_the_invented_archive_is_the_same_for_one_seed() -> None:
    assert list(records(10)) == list(records(10))
    assert list(records(10, 1)) != list(records(10, 2))
    days = [job.day for job in jobs_of(records(10)) if job.day]
    assert all(a < b for a, b in pairwise(days))
