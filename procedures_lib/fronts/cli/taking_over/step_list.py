"""Step lists in plain text or Markdown: which lines are steps, and which are something else."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from procedures_lib.fronts.cli.taking_over.sheet import LONGEST_CELL, plain
from procedures_lib.fronts.cli.taking_over.tables import Left

_ITEM = re.compile(r"(\s*)(?:(?:step\s+)?\d{1,3}[.):]\s+|[-*+•]\s+)(?:\[[ xX]\]\s+)?(.*\S)", re.I)
_HEADING = re.compile(r"#{1,6}\s+(.*\S)")
_RULE = re.compile(r"\s*(?:[-*_=]\s*){3,}")
_FENCE = re.compile(r"\s*(?:```|~~~|:::)")
_TABLE = re.compile(r"\s*\|")


@dataclass(slots=True)
class Instruction:
    """A step as somebody wrote it: its first line's number, and its lines, those below it too."""

    number: int
    texts: list[str] = field(default_factory=list)
    lines: int = 1

    @property
    def text(self) -> str:
        """All of it on one line."""
        return " ".join(text if text[-1:] in ".!?:;," else f"{text}." for text in self.texts)


@dataclass(frozen=True, slots=True)
class StepList:
    """The steps of a list, its title, and the lines that are no steps."""

    title: str
    steps: tuple[Instruction, ...]
    left: tuple[Left, ...]

    @property
    def size(self) -> int:
        """How many lines came in that have anything on them."""
        return sum(step.lines for step in self.steps) + len(self.left)


def read_steps(text: str, where: str) -> StepList:
    """Return the steps of a text: its numbered or bulleted items, else each of its lines."""
    lines = [line.rstrip() for line in text.split("\n")]
    reader = _Reader(where, any(_ITEM.fullmatch(line) for line in lines))
    for number, line in enumerate(lines, start=1):
        reader.read(number, line)
    return StepList(reader.title, tuple(reader.steps), tuple(reader.left))


class _Reader:
    """Reads line after line, with the step that a line may go on."""

    def __init__(self, where: str, itemised: bool) -> None:
        self.where = where
        self.itemised = itemised
        self.title = ""
        self.steps: list[Instruction] = []
        self.left: list[Left] = []
        self._open: Instruction | None = None
        self._indent = 0
        self._in_code = False

    def read(self, number: int, line: str) -> None:
        if not line.strip():
            if not self._in_code:
                self._end()
            return
        if _FENCE.match(line):
            self._in_code = not self._in_code
            self._leave(number, "a block of code, which is not read")
        elif self._in_code:
            self._leave(number, "a block of code, which is not read")
        elif len(line) > LONGEST_CELL:
            self._leave(number, f"a line of more than {LONGEST_CELL:,} characters")
        elif match := _HEADING.fullmatch(line.strip()):
            self.title = self.title or plain(match[1])
            self._leave(number, "a heading", title=True)
        elif _RULE.fullmatch(line):
            self._leave(number, "a line drawn across", title=True)
        elif _TABLE.match(line):
            self._leave(number, "a line of a table: save the table as CSV, and take that over")
        else:
            self._read_words(number, line)

    def _read_words(self, number: int, line: str) -> None:
        match = _ITEM.fullmatch(line)
        indent = len(line) - len(line.lstrip())
        if match and (self._open is None or indent <= self._indent) and not self._is_below(indent):
            self._begin(number, match[2], indent)
        elif (match or self.itemised) and self.steps and (self._open or self._is_below(indent)):
            step = self.steps[-1]
            step.texts.append(plain(match[2] if match else line))
            step.lines += 1
        elif self.itemised:
            self._leave(number, "text outside of the steps")
        else:
            self._begin(number, line, indent)

    def _is_below(self, indent: int) -> bool:
        return bool(self.steps) and indent > self._indent

    def _begin(self, number: int, text: str, indent: int) -> None:
        self._open = Instruction(number, [plain(text)])
        self.steps.append(self._open)
        self._indent = indent

    def _end(self) -> None:
        self._open = None

    def _leave(self, number: int, why: str, title: bool = False) -> None:
        self._end()
        self.left.append(Left(self.where, number, why, title))


_SENTENCE = re.compile(r"(?<=[.;!?])\s+")
_CLAUSE = re.compile(r",?\s+(?:and\s+)?then\s+|,\s+(?:and\s+)?", re.I)


def sentences(text: str) -> Sequence[str]:
    """Return the sentences of a text, without the sign at their ends."""
    return [piece for each in _SENTENCE.split(text) if (piece := each.strip(" .;!?,"))]


def clauses(text: str) -> Sequence[str]:
    """Return a text in the pieces that may each say one thing to do."""
    found = (each for sentence in sentences(text) for each in _CLAUSE.split(sentence))
    return [piece for each in found if (piece := each.strip(" ,"))]


def words_of(text: str) -> Iterator[str]:
    """Yield the words of a text in small letters."""
    yield from re.findall(r"[\w'-]+", text.casefold())
