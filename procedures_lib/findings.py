"""What a check has to say, and where: values that compare and travel; words of its messages."""

from __future__ import annotations

import enum
from dataclasses import dataclass, field


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


@dataclass(frozen=True, slots=True, order=True)
class Unjudged:
    """One thing that the checks can say nothing of, so that no findings are no praise of it.

    ``kind`` is one of the kinds that ``judging.unjudged`` has; ``what`` names the thing, ``why``
    says what keeps it from being judged; ``related`` holds the places of the cause.
    """

    place: Place
    kind: str
    what: str
    why: str
    related: tuple[Place, ...] = field(default=())

    def text(self) -> str:
        """Return it as one line of plain text."""
        return f"{self.place}: not judged: {self.kind}: {self.what}: {self.why}"


class SlipError(ValueError):
    """Something written that can't be read: what is wrong, and what to write instead.

    ``check`` names the finding that it makes, ``message`` says what is wrong, ``hint`` what to
    write. ``line`` is the line of what was read, from 1; 0 where that has one line only.
    """

    def __init__(self, check: str, message: str, hint: str = "", line: int = 0) -> None:
        self.check = check
        self.message = message
        self.hint = hint
        self.line = line

    def __str__(self) -> str:
        return self.message

    def on(self, page: str) -> Finding:
        """Return the finding that it makes on a page."""
        return Finding(Place(page, self.line), self.check, self.message, self.hint)


def counted(number: int, noun: str) -> str:
    """Return "1 page", "2 pages"."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def printable(text: str) -> str:
    """Return a text on one line, its control characters made visible.

    Messages quote pages, and a page must not be able to steer the terminal.
    """
    return "".join(
        sign if sign.isprintable() or sign == "\u00a0" else _escaped(sign) for sign in text
    )


def _escaped(sign: str) -> str:
    return " " if sign.isspace() else sign.encode("unicode_escape").decode("ascii")
