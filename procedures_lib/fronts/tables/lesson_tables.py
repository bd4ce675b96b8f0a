"""What an archive teaches, as tables and in words."""

from __future__ import annotations

from collections.abc import Iterable

from procedures_lib.findings import counted
from procedures_lib.fronts.tables.table import Column, Row, Table, cell
from procedures_lib.judging.records.lesson import CONFIDENCE, FEWEST, RATE, Lesson, Lessons

_COLUMNS = (
    Column("kind", "Kind"),
    Column("procedure", "Procedure"),
    Column("step", "Step"),
    Column("about", "About"),
    Column("jobs", "Jobs"),
    Column("found", "Found"),
    Column("expected", "Held against"),
    Column("verdict", "Effect"),
    Column("named", "Named"),
)


def lesson_table(lessons: Iterable[Lesson], caption: str = "Lessons") -> Table:
    """Return lessons as a table, one a row."""
    rows = []
    for lesson in lessons:
        texts = (
            lesson.kind,
            lesson.procedure,
            str(lesson.step or ""),
            about_text(lesson),
            str(lesson.jobs),
            found_text(lesson),
            expected_text(lesson),
            effect_text(lesson),
            "; ".join(lesson.named),
        )
        rows.append(Row(tuple(map(cell, texts))))
    return Table("lessons", caption, _COLUMNS, tuple(rows))


def about_text(lesson: Lesson) -> str:
    """Return what a lesson is about: the step's title, or the joint, wrench, kit or car."""
    match lesson.kind:
        case "remark" | "answered":
            return f"{lesson.title} ({lesson.about})"
        case "edge" | "wrench" | "drift" if lesson.about != lesson.title:
            return f"{lesson.title} ({lesson.about})"
        case "variant":
            return lesson.about
    return lesson.title


def found_text(lesson: Lesson) -> str:
    """Return what was found, with its interval: ``27 min (25–30)``, ``13 of 27, 48 % (31–66)``."""
    if lesson.value is None:
        return ""
    if lesson.unit == "share":
        ends = _between(lesson.low, lesson.high, 100)
        share = f"{_figure(100 * lesson.value)} %{ends}"
        return f"{lesson.hits} of {lesson.jobs}, {share}" if lesson.kind != "variant" else ends[1:]
    ends = _between(lesson.low, lesson.high)
    return f"{_figure(lesson.value)} {lesson.unit}{ends or ' (too few jobs for an interval)'}"


def figures_text(lesson: Lesson) -> str:
    """Return what was found in short, for a chart: ``27 (25 to 30), n 50``; a share in %."""
    if lesson.value is None:
        return ""
    times = 100 if lesson.unit == "share" else 1
    ends = _between(lesson.low, lesson.high, times)
    return f"{_figure(times * lesson.value)}{ends}, n {lesson.jobs}"


def expected_text(lesson: Lesson) -> str:
    """Return what that is held against: the planned time, the other steps, nothing."""
    if lesson.expected is None:
        return ""
    if lesson.unit == "share":
        return f"{_figure(100 * lesson.expected)} %"
    return f"{_figure(lesson.expected)} {lesson.unit}"


def effect_text(lesson: Lesson) -> str:
    """Return the effect with how sure it is, "" where nothing can be told."""
    if not lesson.verdict:
        return ""
    return f"{lesson.verdict} ({chance_text(lesson.chance)})"


def chance_text(chance: float | None) -> str:
    """Return how probable so much would be without an effect: ``p = 0.02``, ``p < 0.001``."""
    if chance is None:
        return "not tested"
    return "p < 0.001" if chance < 0.001 else f"p = {chance:.2g}"


def _between(low: float | None, high: float | None, times: float = 1) -> str:
    if low is None or high is None:
        return ""
    return f" ({_figure(times * low)} to {_figure(times * high)})"


def _figure(value: float) -> str:
    """A value to the tenth where that tells something, to the whole above 10."""
    text = f"{value:.0f}" if abs(value) >= 10 else f"{value:.1f}"
    return text.replace("-", "−") if float(text) else "0"


def lesson_text(lesson: Lesson) -> str:
    """Return a lesson as one line: what it is about, what was found, and what that says."""
    where = f"{lesson.procedure}: " if lesson.procedure else ""
    return f"{where}{step_line(lesson, about=True)}"


def step_line(lesson: Lesson, *, about: bool = False) -> str:
    """Return a lesson as it stands at its own step, or with ``about`` elsewhere."""
    at = f"step {lesson.step}, " if lesson.step and about else ""
    what = {
        "time": "took", "remark": "remarks", "answered": "remarks since it was changed",
        "hand-over": "handed over here", "edge": "at the edge of its limits", "wrench": "reads off",
        "drift": "drifts by", "kit": "short", "variant": "never done; its share is",
    }[lesson.kind]  # fmt: skip
    against = expected_text(lesson)
    words = {"time": "planned", "remark": "at all steps", "answered": "before",
             "hand-over": "expected", "edge": "by chance", "kit": "of all kits"}  # fmt: skip
    held = f", {against} {words[lesson.kind]}" if against and lesson.kind in words else ""
    said = lesson.kind in {"remark", "answered"} or (about and lesson.kind != "time")
    named = f" [{'; '.join(lesson.named)}]" if said and lesson.named else ""
    title = about_text(lesson) if about or lesson.kind in {"edge"} else ""
    title = f"{title}: " if title else ""
    jobs = f" in {counted(lesson.jobs, 'job')}" if lesson.unit != "share" else ""
    effect = f": {effect_text(lesson)}" if lesson.verdict else ""
    return f"{at}{title}{what} {found_text(lesson)}{jobs}{held}{effect}{named}"


def summary_lines(lessons: Lessons) -> list[str]:
    """Return what the archive is, and how sure what it teaches is, as sentences."""
    span = f" from {lessons.since} to {lessons.until}" if lessons.since else ""
    lines = [f"{counted(lessons.jobs, 'job')}{span}, in {counted(lessons.records, 'record')}."]
    if lessons.without_page:
        lines.append(
            f"{counted(lessons.without_page, 'job')} without the page of that day: they teach "
            "nothing of steps and joints (`procedures archive sheets STATE` keeps the pages)."
        )
    if lessons.unread:
        lines.append(
            f"{counted(lessons.unread, 'reading')} left out: no amount can be read in what was "
            "typed, or it is of another kind (`procedures record FILE` names them)."
        )
    lines.append(
        f"{counted(lessons.tests, 'question')} asked together: of 100 archives without any effect, "
        f"{100 * RATE:g} at most would show one. Intervals hold with {100 * CONFIDENCE:g} %; fewer "
        f"than {FEWEST} jobs tell no effect."
    )
    return lines
