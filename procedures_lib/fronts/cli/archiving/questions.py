"""What is asked of the archive on a command line, and words that nothing there has."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from procedures_lib.fronts.cli.archiving.catalogue import Query
from procedures_lib.fronts.cli.archiving.store import Archive
from procedures_lib.fronts.cli.arguments import Folders, unknown
from procedures_lib.fronts.cli.checked_manual import read_manual
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual


def query_of(kept: Archive, folders: Folders, asked: dict[str, Any]) -> Query:
    """Return the query that the options of a command make; a number plate by its hash.

    :class:`Refused` for a word that neither the archive nor the manual has, with the nearest one.
    """
    words: dict[str, Any] = {name: value for name, value in asked.items() if isinstance(value, str)}
    days: dict[str, Any] = {
        name: str(asked[name]) for name in ("since", "until") if asked.get(name)
    }
    if len(days) == 2 and days["since"] > days["until"]:
        raise Refused(f"no day is from {days['since']} on and until {days['until']}: "
                      "write the earlier one behind --since.")  # fmt: skip
    for name in _KNOWN.keys() & words.keys():
        words[name] = known_word(kept, folders, name, words[name])
    if plate := words.get("registration"):
        words["registration"] = kept.key.registration(plate) or "none"
    return replace(Query(**days), **words)


def _revisions(manual: Manual) -> Iterable[str]:
    return (str(head.revision) for head in manual.heads(Procedure))


def _ids(kind: type[Vehicle | Kit | Procedure]) -> Callable[[Manual], Iterable[str]]:
    return lambda manual: (str(head.id) for head in manual.heads(kind))


_KNOWN: dict[str, tuple[str, Callable[[Manual], Iterable[str]]]] = {
    "vehicle": ("car", _ids(Vehicle)),
    "kit": ("kit", _ids(Kit)),
    "procedure": ("procedure", _ids(Procedure)),
    "revision": ("revision", _revisions),
}


def known_word(kept: Archive, folders: Folders, name: str, word: str) -> str:
    """Return an id as the archive or the manual writes it, small and capital letters apart.

    :class:`Refused` where neither has it.
    """
    kind, in_manual = _KNOWN[name]
    held = kept.catalogue.words(name)
    found = _written(word, held)
    if found is None:
        of_manual = sorted(set(in_manual(read_manual(folders)[0])))
        found = _written(word, of_manual)
        if found is None:
            raise unknown(kind, word, dict.fromkeys([*held, *of_manual]))
    return found


def _written(word: str, known: Iterable[str]) -> str | None:
    plain = {each.casefold(): each for each in known}
    return word if word in plain.values() else plain.get(word.casefold())
