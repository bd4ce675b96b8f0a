"""What was learnt from an archive, kept beside it for whoever writes."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from procedures_lib.fronts.cli.archiving.durable import replace_whole
from procedures_lib.fronts.cli.archiving.store import Archive, now
from procedures_lib.judging.records.learning import learn
from procedures_lib.judging.records.lesson import Lesson, Lessons
from procedures_lib.judging.records.sheet import sheet_of
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual

_LESSONS = TypeAdapter(Lessons)


def learnt(archive: Archive, manual: Manual) -> Lessons:
    """Return what an archive teaches of a manual's pages as they are."""
    heads = manual.heads(Procedure)
    sheets = [sheet_of(manual.plan(head), head.revision) for head in heads]
    return learn(archive.jobs(), sheets, manual.shop, now())


def write_lessons(archive: Archive, lessons: Lessons) -> None:
    """Keep lessons in the archive, in the place of those before."""
    replace_whole(archive.root / "lessons.json", _LESSONS.dump_json(lessons, indent=1))


def read_lessons(root: Path) -> Lessons | None:
    """Return the lessons that are kept in an archive's folder; None for none that can be read."""
    try:
        return _LESSONS.validate_json((root / "lessons.json").read_bytes())
    except (OSError, ValidationError):
        return None


def by_step(lessons: Lessons | None) -> dict[tuple[str, str, str], list[Lesson]]:
    """Return lessons by procedure, key and digest of the step that they are about."""
    found: dict[tuple[str, str, str], list[Lesson]] = defaultdict(list)
    for lesson in lessons.lessons if lessons else ():
        if lesson.step:
            found[lesson.procedure, lesson.key, lesson.digest].append(lesson)
    return found
