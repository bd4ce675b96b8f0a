"""Names of a sheet as ids, each one of its own, and as kinds of things by their nouns."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Sequence
from functools import cache

from procedures_lib.data_tables import csv_rows
from procedures_lib.language.entities.field_types import kebab

_LONGEST = 60
_WORD = re.compile(r"[a-z]+")


def id_from(name: str) -> str:
    """Return the id that a name makes, "" when it has no letter that an id may have."""
    flat = unicodedata.normalize("NFKD", name.replace("ß", "ss").replace("Ø", "O"))
    text = "".join(sign for sign in flat if not unicodedata.combining(sign))
    return kebab(text)[:_LONGEST].strip("-")


def told_apart(
    names: Sequence[str],
    marks: Sequence[Sequence[str]],
    kept: Sequence[str],
    taken: Collection[str],
) -> list[str]:
    """Return an id for each name, all different and none of those taken.

    Names that make one id are told apart by the first of their ``marks`` (section, thread, part
    number …) in which all of them differ, else by a number. ``kept`` holds the ids that some have
    from an earlier run, and keep.
    """
    plain = [id_from(name) for name in names]
    alike: dict[str, list[int]] = {}
    for n, each in enumerate(plain):
        alike.setdefault(each, []).append(n)
    used, ids = dict.fromkeys([*taken, *filter(None, kept)], 2), list(kept)
    for name, rows in alike.items():
        own = _marked(name, [marks[n] for n in rows])
        for n, wanted in zip(rows, own, strict=True):
            ids[n] = ids[n] or _free(wanted, used)
    return ids


def _marked(name: str, marks: Sequence[Sequence[str]]) -> list[str]:
    if len(marks) > 1:
        for column in zip(*marks, strict=True):
            words = [id_from(text) for text in column]
            if all(words) and len(set(words)) == len(words):
                return [f"{name}-{word}" for word in words]
    return [name] * len(marks)


def _free(name: str, used: dict[str, int]) -> str:
    """Return an id that is not used, and note it; the next number of each is kept."""
    n, found = used.get(name, 2), name
    while found in used:
        found, n = f"{name}-{n}", n + 1
    used[name] = n
    used.setdefault(found, 2)
    return found


@cache
def _nouns() -> dict[str, tuple[str, str]]:
    rows = csv_rows(__package__, "nouns.csv")
    return {row["noun"]: (row["block"], row["kind"]) for row in rows}


def kind_of(name: str) -> tuple[str, str]:
    """Return the block that a thing belongs to by its noun, and its kind; two "" if unknown.

    The last noun counts, and what stands after ``for``, ``of``, ``to`` says no more of it.
    """
    head = re.split(r"\b(?:for|of|to|with|from|at|in|on)\b|[,(]", name.casefold(), maxsplit=1)[0]
    words = [singular(word) for word in _WORD.findall(head or name.casefold())]
    for n in range(len(words) - 1, -1, -1):
        for noun in (" ".join(words[max(0, n - 1) : n + 1]), words[n]):
            if noun in _nouns():
                return _nouns()[noun]
    return "", ""


def singular(word: str) -> str:
    """Return a word without the mark of the plural, as far as its ending tells."""
    if word.endswith(("ches", "shes", "xes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def words_in_plural(words: Iterable[str]) -> set[str]:
    """Return the singulars of those words that stand in the plural."""
    return {one for word in words if (one := singular(word.strip(",.()"))) != word.strip(",.()")}
