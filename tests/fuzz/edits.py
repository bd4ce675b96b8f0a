"""Edits of a page that nobody meant: lines cut, swapped, doubled, spliced, wrapped; odd bytes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from hypothesis import strategies as st

if TYPE_CHECKING:
    from collections.abc import Callable

ODD = (
    "\x00", "\x07", "\t", "\u2028", "\u00a0", "\u200b", "\ufeff", "\u202e", "\ufffc", "'", '"', "`",
    "```", ":::", "---", ":", ": ", " #", "{", "}", "[", "]", "{{", "|", "> ", "- ", "&x ", "*x",
    "!!python/object ", "%", "\\", "<!--", "-->", "<b>", "𝟙", "Ω", "é", "９", "½", "−", "‒", "±",
)  # fmt: skip
"""What is put into a line."""

WORDS = (
    "vehicle", "kit", "remove", "fit", "tighten", "loosen", "connect", "disconnect", "raise",
    "lower", "cool", "isolate", "restore", "battery", "engine", "drain", "fill", "bleed",
    "test", "program", "on", "stage 1", "when", "not", "and", "or", "true", "null", "0", "-1",
    "1e9", "999999999999", "10 N·m", "12 ± 1 N·m", "10–12 N·m", "35 lb", "+45°",
    "back off fully", "hand", "cross", "M8x1.25", "1/4-20 UNC", "8.8", "2026-02-30",
    "transmission=manual", "fuel", "airbag", "[]", "{}", "", "A",
)  # fmt: skip
"""What takes a word's place."""


@dataclass(frozen=True, slots=True)
class Edit:
    """One edit; ``at`` and ``to`` are lines, counted round when the page has fewer."""

    kind: str
    at: int
    to: int
    text: str = ""


EDITS = st.builds(
    Edit,
    st.sampled_from(("cut", "swap", "double", "move", "splice", "put", "word", "name", "indent",
                     "wrap", "join", "many")),
    st.integers(0, 900),
    st.integers(0, 900),
    st.sampled_from(ODD + WORDS),
)  # fmt: skip


def edited(text: str, donor: str, edits: tuple[Edit, ...]) -> str:
    """Return a text with edits made; ``donor`` is the text that lines are taken from."""
    lines, others = text.split("\n"), donor.split("\n")
    for edit in edits:
        at, to = edit.at % len(lines), edit.to % len(lines)
        _DO[edit.kind](lines, others, at, to, edit)
        lines = lines or [""]
    return "\n".join(lines)


def _cut(lines: list[str], _: list[str], at: int, to: int, __: Edit) -> None:
    del lines[at : at + 1 + to % 12]


def _swap(lines: list[str], _: list[str], at: int, to: int, __: Edit) -> None:
    lines[at], lines[to] = lines[to], lines[at]


def _double(lines: list[str], _: list[str], at: int, to: int, __: Edit) -> None:
    lines[at:at] = lines[at : at + 1 + to % 12]


def _move(lines: list[str], _: list[str], at: int, to: int, __: Edit) -> None:
    lines.insert(to, lines.pop(at))


def _splice(lines: list[str], others: list[str], at: int, _: int, edit: Edit) -> None:
    start = edit.to % len(others)
    lines[at:at] = others[start : start + 1 + edit.at % 15]


def _put(lines: list[str], _: list[str], at: int, to: int, edit: Edit) -> None:
    column = to % (len(lines[at]) + 1)
    lines[at] = lines[at][:column] + edit.text + lines[at][column:]


def _word(lines: list[str], _: list[str], at: int, to: int, edit: Edit) -> None:
    words = lines[at].split(" ")
    words[to % len(words)] = edit.text
    lines[at] = " ".join(words)


def _name(lines: list[str], _: list[str], at: int, to: int, edit: Edit) -> None:
    """A word of another line in the place of one here: ids that exist, and do not fit."""
    words, others = lines[at].split(" "), lines[to].split(" ")
    words[edit.to % len(words)] = others[edit.at % len(others)].strip("[]{},:")
    lines[at] = " ".join(words)


def _indent(lines: list[str], _: list[str], at: int, to: int, __: Edit) -> None:
    line = lines[at].lstrip()
    lines[at] = " " * (to % 9) + line


def _wrap(lines: list[str], _: list[str], at: int, to: int, edit: Edit) -> None:
    depth = 1 + edit.to % 12
    end = min(len(lines), at + 1 + to % 40)
    fences = [":" * (3 + depth - n) for n in range(depth)]
    lines[at:end] = [*(f"{f}{{note}}" for f in fences), *lines[at:end], *reversed(fences)]


def _join(lines: list[str], _: list[str], at: int, __: int, ___: Edit) -> None:
    lines[at : at + 2] = [" ".join(lines[at : at + 2])]


def _many(lines: list[str], _: list[str], at: int, to: int, __: Edit) -> None:
    lines[at:at] = [lines[at]] * (to % 90)


_DO: dict[str, Callable[[list[str], list[str], int, int, Edit], None]] = {
    "cut": _cut,
    "swap": _swap,
    "double": _double,
    "move": _move,
    "splice": _splice,
    "put": _put,
    "word": _word,
    "name": _name,
    "indent": _indent,
    "wrap": _wrap,
    "join": _join,
    "many": _many,
}
