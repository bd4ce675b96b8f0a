"""What the bay says, on the writer's screen: below each page while the manual is served."""

from __future__ import annotations

from html import escape
from pathlib import Path

from procedures_lib.findings import counted, printable
from procedures_lib.fronts.cli.archiving.lessons import StepLessons, note_text
from procedures_lib.fronts.site.lessons_page import STYLE, lessons_page
from procedures_lib.judging.records.lesson import Lesson
from procedures_lib.manual import Manual

ADDRESS = "/_serve/lessons"
_STYLES = f"{ADDRESS}.css"


class Bay:
    """The lessons in an archive's folder, as ``procedures learn`` left them at the last turn."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._lessons = StepLessons(root)

    def turn(self) -> None:
        """Look again."""
        self._lessons = StepLessons(self._root)

    def answer(self, path: str) -> tuple[str, bytes] | None:
        """Return type and content of the page with all lessons, or of its styles; else None."""
        kept = self._lessons.kept
        if path == _STYLES:
            return "text/css", STYLE.encode()
        if path != ADDRESS or kept is None:
            return None
        head = f'<link rel="stylesheet" href="{_STYLES}">'
        return "text/html; charset=utf-8", lessons_page(kept, head).encode()

    def foot(self, manual: Manual, page: str) -> str:
        """Return what stands below a page: its steps' lessons by their lines, folded away."""
        kept, found = self._lessons.kept, self._lessons.on_page(manual, page)
        if not kept or not found:
            return ""
        common = manual.is_common(page)
        rows = "".join(_row(line, each, named=common) for line, each in found)
        effects = sum(bool(each.verdict) for _, each in found)
        jobs = f"{counted(kept.jobs, 'job')} {'teaches' if kept.jobs == 1 else 'teach'}"
        told = f"What {jobs} of this page: {counted(effects, 'effect')}"
        more = f'<p><a href="{ADDRESS}">All that was learnt</a></p>'
        listed = f"<summary>{told}</summary><ul>{rows}</ul>{more}"
        return f'<details class="served-unjudged served-lessons">{listed}</details>'


def _row(line: int, lesson: Lesson, *, named: bool) -> str:
    text = escape(printable(note_text(lesson, named=named)))
    told = f"Line {line}, step {lesson.step}: {text}"
    return f"<li><strong>{told}</strong></li>" if lesson.verdict else f"<li>{told}</li>"
