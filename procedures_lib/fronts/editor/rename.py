"""An id renamed wherever it means the same thing, if nothing new is wrong afterwards."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping

from procedures_lib.findings import Finding, SlipError
from procedures_lib.fronts.editor.desk import Desk
from procedures_lib.fronts.editor.id_places import STEP, IdPlace
from procedures_lib.fronts.editor.things import (
    Occurrence,
    Thing,
    id_at,
    meant,
    occurrences,
    steps_seen,
)
from procedures_lib.judging.checks.mentions import touched
from procedures_lib.judging.checks.registry import check_alone
from procedures_lib.judging.checks.signal_words import words_that_call
from procedures_lib.language.entities.builder import build
from procedures_lib.language.entities.field_types import read_id
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS
from procedures_lib.language.entities.verbs import KEYWORDS
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual


class RenameError(ValueError):
    """A rename that is refused; the message says why, and what to do instead."""


def renamable(desk: Desk, page: str, line: int, column: int) -> tuple[IdPlace, Thing]:
    """Return the id at a place and what it means; :class:`RenameError` where there is none."""
    at = id_at(desk, page, line, column)
    if at is None:
        raise RenameError("no id stands here")
    if at.id in BUILTIN_HAZARDS and "hazard" in (at.kinds or ("hazard",)):
        raise RenameError(f"`{at.id}` is a hazard of the library, whose name stays")
    thing = meant(desk.manual, page, at)
    if thing is None:
        raise RenameError(f"no page describes `{at.id}`, or more than one does")
    return at, thing


def rename(desk: Desk, page: str, line: int, column: int, new: str) -> list[Occurrence]:
    """Return the places where the id at a place is to become ``new``.

    :class:`RenameError` for what is no id, for one that is taken where the thing is seen, and where
    the checks would find something new afterwards.
    """
    _, thing = renamable(desk, page, line, column)
    try:
        name = str(read_id(Scalar(new)))
    except SlipError as slip:
        raise RenameError(f"{slip.message}: {slip.hint}") from None
    found = list(occurrences(desk, thing))
    if name == thing.id:
        return []
    _refuse_clash(desk.manual, thing, name, {each.page for each in found})
    _refuse_new_findings(desk, name, found)
    return found


def _refuse_clash(manual: Manual, thing: Thing, new: str, pages: Iterable[str]) -> None:
    if new in KEYWORDS or new in BUILTIN_HAZARDS:
        raise RenameError(f"`{new}` is a word of the page language: choose another")
    for page in sorted({*pages, thing.place.page}):
        if thing.kind == STEP:
            taken = [n.step.place for n in steps_seen(manual, page) if n.step.id == new]
        else:
            other = manual.scope(page).get(new)
            taken = [other.place] if other else []
        if taken:
            raise RenameError(f"`{new}` is taken on {taken[0]}: choose another")


def _refuse_new_findings(desk: Desk, new: str, found: Iterable[Occurrence]) -> None:
    texts = renamed_texts(desk, new, found)
    before = desk.manual
    after = before.with_pages(build(read_page(t.encode(), page)) for page, t in texts.items())
    pages = sorted(touched(before, after, texts))
    said = Counter(map(_gist, _findings(before, pages)))
    for finding in _findings(after, pages):
        said[_gist(finding)] -= 1
        if said[_gist(finding)] < 0:
            raise RenameError(f"with `{new}` something would be wrong: {finding.text()}")


def _findings(manual: Manual, pages: Iterable[str]) -> Iterator[Finding]:
    """Yield what is found on pages by the checks that ask for ids."""
    for page in pages:
        yield from check_alone(manual, page)
        yield from words_that_call(manual, page)


def _gist(finding: Finding) -> tuple[str, int, str]:
    return finding.place.page, finding.place.line, finding.check


def renamed_texts(desk: Desk, new: str, found: Iterable[Occurrence]) -> Mapping[str, str]:
    """Return the texts of the pages that change, by page."""
    by_page: dict[str, list[IdPlace]] = defaultdict(list)
    for each in found:
        by_page[each.page].append(each.at)
    texts = {}
    for page, places in by_page.items():
        lines = desk.text(page).split("\n")
        for at in sorted(places, key=lambda at: (at.line, at.column), reverse=True):
            line = lines[at.line - 1]
            lines[at.line - 1] = line[: at.column] + new + line[at.end :]
        texts[page] = "\n".join(lines)
    return texts
