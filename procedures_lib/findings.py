"""What a check has to say, and where: values that compare, sort and travel between processes."""

from __future__ import annotations

import enum
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches


class Level(enum.StrEnum):
    """How bad a finding is: an error fails the build, a warning does not."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A line of a page.

    ``page`` is the page's path below the manual's folder, with forward slashes; ``line`` counts
    from 1.
    """

    page: str
    line: int

    def __str__(self) -> str:
        return f"{self.page}:{self.line}"


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One thing that is wrong, with what to do about it.

    ``check`` is the stable kebab-case name; ``message`` says what is wrong, ``hint`` what to write
    or do instead; ``variants`` is the condition under which it is true ("" for every car);
    ``related`` holds other places that matter (where it was opened, where it is defined).
    """

    place: Place
    check: str
    message: str
    hint: str = ""
    level: Level = Level.ERROR
    variants: str = ""
    related: tuple[Place, ...] = field(default=())

    def text(self) -> str:
        """Return the finding as one line of plain text, without its hint."""
        where = f" [{self.variants}]" if self.variants else ""
        return f"{self.place}: {self.level}: {self.check}: {self.message}{where}"


_MOST_KNOWN = 2_000
"""Among more words than that no nearest one is looked for: it would take longer than all else."""


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word nearest to ``word``, or "" when none is near."""
    words = _few(known)
    near = get_close_matches(word, words, n=1, cutoff=0.6)
    return near[0] if near else ""


def suggestion(word: str, known: Iterable[str]) -> str:
    """Return a hint that names the nearest known word, or lists a few when none is near."""
    words = sorted(set(_few(known)))
    near = nearest(word, words)
    if near:
        return f"did you mean `{near}`?"
    if not words:
        return ""
    shown = ", ".join(f"`{name}`" for name in words[:12])
    return f"known here: {shown}{' …' if len(words) > 12 else ''}"


def _few(known: Iterable[str]) -> Collection[str]:
    """Return the known words; none of more than can be compared in a moment."""
    words = known if isinstance(known, Collection) else list(known)
    return () if len(words) > _MOST_KNOWN else words
