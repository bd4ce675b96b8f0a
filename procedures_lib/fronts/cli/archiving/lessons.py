"""What was learnt from an archive, kept beside it for whoever writes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from procedures_lib.fronts.cli.archiving.durable import replace_whole
from procedures_lib.fronts.cli.archiving.store import Archive, now
from procedures_lib.fronts.cli.arguments import Folders
from procedures_lib.fronts.tables.lesson_tables import step_line
from procedures_lib.judging.records.learning import learn
from procedures_lib.judging.records.lesson import Lesson, Lessons
from procedures_lib.judging.records.readings import step_digest, step_keys
from procedures_lib.judging.records.sheet import sheet_of
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual, Plan

_LESSONS = TypeAdapter(Lessons)
LESSONS = "lessons.json"
"""The file of an archive that has what was learnt last."""


def learnt(archive: Archive, manual: Manual) -> Lessons:
    """Return what an archive teaches of a manual's pages as they are."""
    heads = manual.heads(Procedure)
    sheets = [sheet_of(manual.plan(head), head.revision) for head in heads]
    return learn(archive.jobs(), sheets, manual.shop, now())


def write_lessons(archive: Archive, lessons: Lessons) -> None:
    """Keep lessons in the archive, in the place of those before."""
    replace_whole(archive.root / LESSONS, _LESSONS.dump_json(lessons, indent=1))


def read_lessons(root: Path) -> Lessons | None:
    """Return the lessons that are kept in an archive's folder; None for none that can be read."""
    try:
        return _LESSONS.validate_json((root / LESSONS).read_bytes())
    except (OSError, ValidationError):
        return None


class StepLessons:
    """The lessons that are kept in an archive, step by step; ``root`` is its folder.

    Nothing is worked out here: it is what ``procedures learn`` found last.
    """

    def __init__(self, root: Path) -> None:
        self.kept = read_lessons(root)
        self._by_step: dict[tuple[str, str, str], list[Lesson]] = defaultdict(list)
        for lesson in self.kept.lessons if self.kept else ():
            if lesson.step and (lesson.verdict or lesson.hits or lesson.kind == "time"):
                self._by_step[lesson.procedure, lesson.key, lesson.digest].append(lesson)
        self._procedures = {procedure for procedure, _, _ in self._by_step}

    def on_page(self, manual: Manual, page: str) -> list[tuple[int, Lesson]]:
        """Return the lessons of the steps that are written on a page, each with its line.

        A step whose words have changed since has none: they were learnt of other words.
        """
        if not self._procedures or page not in manual.contents:
            return []
        found: list[tuple[int, Lesson]] = []
        for plan in self._plans(manual, page):
            keys = step_keys(plan)
            for numbered, key in zip(plan.steps, keys, strict=True):
                if numbered.page == page:
                    name = str(plan.head.id), key, step_digest(numbered, plan)
                    line = numbered.step.place.line
                    found += ((line, lesson) for lesson in self._by_step.get(name, ()))
        return sorted(found, key=lambda each: each[0])

    def _plans(self, manual: Manual, page: str) -> Iterator[Plan]:
        for head in manual.heads(Procedure):
            if head.id in self._procedures and (head.place.page == page or manual.is_common(page)):
                yield manual.plan(head)


def note_text(lesson: Lesson, *, named: bool) -> str:
    """Return a lesson as it stands at its step; ``named`` says of which procedure it is."""
    where = f"{lesson.procedure}: " if named else ""
    return f"{where}{step_line(lesson)}"


def lessons_at(folders: Folders) -> Callable[[Manual, str], list[tuple[int, str]]]:
    """Return what has the lessons of a page, each with its line; read again when they change."""
    held: dict[float, StepLessons] = {}

    def notes(manual: Manual, page: str) -> list[tuple[int, str]]:
        root = folders.project / manual.shop.archive.folder
        try:
            changed = (root / LESSONS).stat().st_mtime
        except OSError:
            return []
        if changed not in held:
            held.clear()
            held[changed] = StepLessons(root)
        found = held[changed].on_page(manual, page)
        return [(line, note_text(each, named=manual.is_common(page))) for line, each in found]

    return notes
