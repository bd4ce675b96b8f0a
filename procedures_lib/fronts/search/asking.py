"""How people ask: other words of the trade, questions with the kind of row that answers them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from procedures_lib.data_tables import csv_rows
from procedures_lib.fronts.search.terms import STOP_WORDS

HINTS = {
    "torque": "f", "torques": "f", "tighten": "f", "tightening": "f", "tight": "f",
    "angle": "f", "part": "p", "number": "p", "tool": "t", "tools": "t", "step": "s", "steps": "s",
    "specification": "l", "spec": "l", "kit": "k",
}  # fmt: skip
"""Words that say which kind of row is wanted, beside what they say otherwise."""

ASKING_WORDS = STOP_WORDS | {
    "any", "can", "could", "do", "does", "go", "goes", "have", "how", "i", "me", "my", "need",
    "needed", "needs", "please", "should", "show", "take", "takes", "use", "used", "want", "what",
    "whats", "when", "where", "which", "you", "your",
}  # fmt: skip
"""Words that say nothing in a query."""


def _phrases(text: str) -> list[str]:
    return [phrase for each in text.split(";") if (phrase := each.strip())]


def trade_words() -> list[list[list[str]]]:
    """Return the groups of ``trade_words.csv``: phrases, and those that stand for each of them.

    Without the second, each phrase of a group stands for the others.
    """
    rows = csv_rows(__package__, "trade_words.csv")
    return [
        [part for part in (_phrases(row["words"]), _phrases(row["instead"])) if part]
        for row in rows
    ]


def questions() -> list[list[str]]:
    """Return the rows of ``questions.csv`` as ``[phrase, kinds, answer, words left]``.

    The longest phrase comes first: what a longer one has taken is not asked again. ``kinds`` are
    letters of kinds of row, ``answer`` names a fact of theirs (:data:`ANSWERS`) or a mark
    (:data:`MARKS`). A phrase after "~ " asks only where it ends a query.
    """
    found = [
        [phrase, row["kinds"], row["answer"], row["left"]]
        for row in csv_rows(__package__, "questions.csv")
        for phrase in _phrases(row["phrases"])
    ]
    return sorted(found, key=lambda one: (-len(one[0]), one[0]))


ANSWERS = ("socket", "order", "threads", "again", "turns", "warns", "who")
"""Facts that answer a question: each stands in its row under this name."""
MARKS = {"new": "again", "left": "turns", "warns": "warns", "who": "who"}
"""Answers that not every row can give: those that can have the term ``=new``, ``=left``, …

Each with the fact that they show for it.
"""


def asking_tables(stop: Iterable[str] = ASKING_WORDS) -> dict[str, Any]:
    """Return what the page's script needs to know of questions and of the trade's words."""
    return {
        "hints": HINTS,
        "stop": sorted(stop),
        "alike": trade_words(),
        "questions": questions(),
        "marks": MARKS,
    }
