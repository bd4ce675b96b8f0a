"""What an archive teaches, as plain values: each with its interval, and how sure it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from procedures_lib.engineering.statistics.several import holm

RATE = 0.05
"""In how many archives without effects anything at all is told as one, at most (Holm 1979)."""

FEWEST = 8
"""Jobs below which nothing is told as an effect, whatever they say (common practice, no source)."""

CONFIDENCE = 0.95

KINDS = {
    "time": "Time of a step",
    "remark": "Remarks at a step",
    "answered": "Remarks since a step was changed",
    "hand-over": "Hand-overs at a step",
    "edge": "Readings at the edge of their limits",
    "wrench": "What a wrench reads",
    "drift": "What a wrench reads, in the course of time",
    "kit": "Kits that were short",
    "variant": "Cars that nobody has done yet",
}
"""The kinds of lesson, and what each is about."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """One thing that jobs teach.

    ``step`` is its number on the page as it is, 0 for none, with its ``key`` and ``digest``;
    ``about`` names a joint, wrench, kit or option. ``value`` lies between ``low`` and ``high`` at
    :data:`CONFIDENCE`, None where so few jobs don't tell; ``spread`` is the middle half. All of
    these, and ``expected``, are in ``unit``: minutes, % or share. ``chance`` is how probable so
    much would be without an effect, adjusted for all tests of the archive; None where nothing is
    tested. ``verdict`` is "" where nothing can be told. ``named`` are outliers, remarks, items.
    """

    kind: str
    procedure: str = ""
    step: int = 0
    key: str = ""
    digest: str = ""
    title: str = ""
    about: str = ""
    jobs: int = 0
    hits: int = 0
    value: float | None = None
    low: float | None = None
    high: float | None = None
    spread: tuple[float, float] | None = None
    expected: float | None = None
    unit: str = ""
    chance: float | None = None
    verdict: str = ""
    named: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Lessons:
    """All that an archive teaches: of so many ``jobs`` between two days, ``""`` for none.

    ``records`` are more than the jobs where one was saved several times; ``without_page`` are the
    jobs whose sheet is not kept, which teach nothing of steps, ``unread`` the readings that no one
    can read. ``tests`` is how many questions were asked together.
    """

    lessons: tuple[Lesson, ...] = ()
    records: int = 0
    jobs: int = 0
    without_page: int = 0
    unread: int = 0
    since: str = ""
    until: str = ""
    tests: int = 0

    @property
    def effects(self) -> tuple[Lesson, ...]:
        """The lessons that can be told as effects."""
        return tuple(lesson for lesson in self.lessons if lesson.verdict)

    def of(self, kind: str) -> tuple[Lesson, ...]:
        """The lessons of a kind."""
        return tuple(lesson for lesson in self.lessons if lesson.kind == kind)


def judged(found: Iterable[Lesson], rate: float = RATE) -> tuple[tuple[Lesson, ...], int]:
    """Return lessons with their chances adjusted for each other, and how many were tested.

    What does not hold after that loses its verdict; so does whatever fewer jobs than
    :data:`FEWEST` tell.
    """
    lessons = list(found)
    tested = [n for n, lesson in enumerate(lessons) if lesson.chance is not None]
    adjusted = holm([lessons[n].chance or 0.0 for n in tested])
    for n, chance in zip(tested, adjusted, strict=True):
        lesson = lessons[n]
        holds = chance <= rate and lesson.jobs >= FEWEST
        lessons[n] = replace(lesson, chance=chance, verdict=lesson.verdict if holds else "")
    return tuple(lessons), len(tested)
