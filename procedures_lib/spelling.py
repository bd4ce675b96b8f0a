"""Words that are nearly a known one: "did you mean …?" for a slip, else a list of the choices."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from difflib import SequenceMatcher

SHOWN = 12
"""So many choices a hint lists at most."""

_MOST_KNOWN = 2_000
"""Among more words than that no nearest one is looked for: it would take longer than all else."""

_MOST_SLIPS = 2
_LONG = 8
"""From so many letters on a word may have two slips."""

_SHORT = 3
"""In a word of so many letters one for another makes another word: `nut`, `net`, `not`."""

_ALIKE = 0.6
"""How like a word a choice must be to be listed before the others (difflib ratio)."""

WORDS_OF_THEIR_OWN = frozenset({
    "air", "bead", "belt", "boat", "bold", "bolt", "boot", "clasp", "clear", "coil", "coin",
    "cold", "connection", "cool", "core", "correction", "cure", "fell", "fill", "full", "head",
    "heat", "hole", "hose", "left", "lift", "line", "link", "list", "lock", "loop", "mark",
    "none", "note", "part", "pipe", "plate", "plug", "port", "remote", "rest", "screen", "seal",
    "seam", "seat", "signal", "single", "sleeve", "spare", "spark", "stage", "start", "state",
    "stay", "stem", "step", "stop", "store", "strap", "stub", "stud", "tape", "test", "text",
    "tie", "time", "tool", "wire",
})  # fmt: skip
"""Words of the trade that are a letter from another one: never taken for a slip of it.

From memory, common practice; the words of the page language's own lists are among them where two
of them are as near as that.
"""


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word of which ``word`` is a misspelling, or "" when there is none.

    A misspelling has a letter too many, too few, changed, or two of them exchanged; a word of
    eight letters and more may have two such slips. Its first letter is right, or has changed
    places with the second. Small and capital letters, and what joins the words of a name, make
    no difference. A word that only begins or ends like another one, or is part of it, is none.
    """
    begins = {*word.casefold()[:2]}
    near = [each for each in _few(known) if each[:1].casefold() in begins]
    found = ((_slips(word, each), each) for each in near)
    slips = {each: number for number, each in found if number is not None}
    likely = likely_first(word, slips)
    return min(likely, key=lambda each: slips[each], default="")


def suggestion(word: str, known: Iterable[str]) -> str:
    """Return a hint: the known word that was misspelt, else the choices, likely ones first.

    The others follow in the order given; those of a set, by the alphabet.
    """
    words = _few(known)
    near = nearest(word, words)
    if near:
        return f"did you mean `{near}`?"
    listed = sorted(words) if isinstance(words, set | frozenset) else words
    return f"known here: {choices(likely_first(word, listed))}" if words else ""


def choices(words: Iterable[str], most: int = SHOWN) -> str:
    """Return a list of choices in a hint, cut after the first ``most``."""
    listed = list(words)
    cut = " …" if len(listed) > most else ""
    return ", ".join(f"`{each}`" for each in listed[:most]) + cut


def likely_first(word: str, known: Iterable[str]) -> list[str]:
    """Return the words, each once: those first that are like ``word`` or have a word of it."""
    matcher = SequenceMatcher(b=word.casefold())
    parts = {part for part in _parts(word) if len(part) >= _SHORT}

    def unlikeness(other: str) -> float:
        matcher.set_seq1(other.casefold())
        alike = all(
            ratio() >= _ALIKE
            for ratio in (matcher.real_quick_ratio, matcher.quick_ratio, matcher.ratio)
        )
        common = bool(parts) and not parts.isdisjoint(_parts(other))
        return -(common + (matcher.ratio() if alike else 0.0))

    return sorted(dict.fromkeys(known), key=unlikeness)


def _few(known: Iterable[str]) -> Collection[str]:
    """Return the known words; none of more than can be compared in a moment."""
    words = known if isinstance(known, Collection) else list(known)
    return () if len(words) > _MOST_KNOWN else words


def _parts(word: str) -> list[str]:
    return [part for part in re.split(r"[\W_]+", word.casefold()) if part]


def _slips(word: str, known: str) -> int | None:
    """Return the number of slips by which a word differs; None when it is another word."""
    pairs = list(_pairs(_parts(word), _parts(known)))
    numbers = [_slips_in(one, other) for one, other in pairs]
    slips = [number for number in numbers if number is not None]
    whole = bool(pairs) and len(slips) == len(numbers) and sum(slips) <= _MOST_SLIPS
    return sum(slips) if whole else None


def _pairs(one: list[str], other: list[str]) -> Iterator[tuple[str, str]]:
    """Pair the words of two names; names of more words and of fewer are one word each."""
    if len(one) == len(other):
        return iter(zip(one, other, strict=True))
    return iter([("".join(one), "".join(other))])


def _slips_in(word: str, known: str) -> int | None:
    if word == known:
        return 0
    most = _MOST_SLIPS if min(len(word), len(known)) >= _LONG else 1
    if abs(len(word) - len(known)) > most or not _begins_alike(word, known):
        return None
    if word.removesuffix("s") in WORDS_OF_THEIR_OWN and not _is_plural(word, known):
        return None
    number = _distance(word, known)
    return number if number <= most and not _is_other(word, known) else None


def _begins_alike(word: str, known: str) -> bool:
    return word[:1] == known[:1] or word[:2] == known[1::-1]


def _is_plural(word: str, known: str) -> bool:
    return word.removesuffix("s") == known.removesuffix("s")


def _is_other(word: str, known: str) -> bool:
    """Tell whether a changed letter or digit makes another word: in short ones, and in numbers."""
    if word.isdigit() and min(len(word), len(known)) < _SHORT:
        return True
    changed = [(a, b) for a, b in zip(word, known, strict=False) if a != b]
    if len(word) != len(known) or sorted(word) == sorted(known):
        return False
    return len(word) <= _SHORT or any(a.isdigit() and b.isdigit() for a, b in changed)


def _distance(word: str, known: str) -> int:
    """Return how many letters were added, left out, changed, or exchanged with their neighbour.

    The distance of optimal string alignment, after Damerau (1964).
    """
    before, row = [0] * (len(known) + 1), list(range(len(known) + 1))
    for n, letter in enumerate(word, start=1):
        older, before, row = before, row, [n]
        for k, other in enumerate(known, start=1):
            step = min(before[k] + 1, row[k - 1] + 1, before[k - 1] + (letter != other))
            if n > 1 and k > 1 and letter == known[k - 2] and word[n - 2] == other:
                step = min(step, older[k - 2] + 1)
            row.append(step)
    return row[-1]
