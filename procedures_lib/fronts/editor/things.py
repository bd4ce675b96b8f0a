"""What an id on a page means, and every place of the manual that means the same thing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from procedures_lib.findings import Place
from procedures_lib.fronts.editor.desk import Desk
from procedures_lib.fronts.editor.id_places import STEP, IdPlace, id_places
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.work import Common, Procedure, Step
from procedures_lib.language.reading.word_places import Word, words_of
from procedures_lib.manual import Manual
from procedures_lib.manual.plan import NumberedStep


@dataclass(frozen=True, slots=True)
class Thing:
    """What has an id: an entity, or a step with its number; ``place`` tells it from others."""

    id: str
    place: Place
    entity: Entity | None = None
    step: Step | None = None
    number: int = 0

    @property
    def kind(self) -> str:
        """What it is, in a word."""
        return self.entity.KIND if self.entity else STEP


@dataclass(frozen=True, slots=True)
class Occurrence:
    """An id in its place on a page."""

    page: str
    at: IdPlace


def words_on(desk: Desk, page: str) -> list[Word]:
    """Return the words of a page as it stands in the editor; [] where there is none."""
    content = desk.manual.contents.get(page)
    return list(words_of(desk.text(page), content.page)) if content else []


def word_at(desk: Desk, page: str, line: int, column: int) -> Word | None:
    """Return the word at a place of a page, the shortest where several reach there."""
    found = [w for w in words_on(desk, page) if w.offset(line, column) is not None]
    return min(found, key=lambda word: len(word.text), default=None)


def id_at(desk: Desk, page: str, line: int, column: int) -> IdPlace | None:
    """Return the id at a place of a page."""
    word = word_at(desk, page, line, column)
    for at in id_places(word) if word else ():
        if at.line == line and at.column <= column <= at.end:
            return at
    return None


def meant(manual: Manual, page: str, at: IdPlace) -> Thing | None:
    """Return what an id on a page means; None for what no page describes, or not one alone."""
    if at.kinds == (STEP,):
        return _step(manual, page, at)
    entity = _near(manual, page, at) or _far(manual, page, at)
    if entity is None and STEP in at.kinds:
        return _step(manual, page, at)
    return Thing(at.id, entity.place, entity) if entity else None


def _near(manual: Manual, page: str, at: IdPlace) -> Entity | None:
    """The entity that a page can see, of the kinds that it may be."""
    scope = manual.scope(page)
    heads = [HEADS[kind] for kind in at.kinds or HEADS if kind in HEADS]
    found = scope.get(at.id)
    if found is not None and at.kinds and found.KIND not in at.kinds:
        seen = (each for each in scope.entities() if each.id == at.id and each.KIND in at.kinds)
        found = next(seen, None)
    return found or next((head for kind in heads if (head := manual.head(kind, at.id))), None)


def _far(manual: Manual, page: str, at: IdPlace) -> Entity | None:
    """The entity that a common page speaks of: the one that has this id, on whatever page."""
    if not manual.is_common(page) or at.id not in manual.known_ids:
        return None
    every = (manual.entities_on(name).get(at.id) for name in manual.contents)
    found = {each.place: each for each in every if each and (not at.kinds or each.KIND in at.kinds)}
    return next(iter(found.values())) if len(found) == 1 else None


def _step(manual: Manual, page: str, at: IdPlace) -> Thing | None:
    for numbered in steps_seen(manual, page):
        step = numbered.step
        if step.id == at.id and (not at.defines or step.place.page == page):
            return Thing(at.id, step.place, step=step, number=numbered.number)
    return None


def steps_seen(manual: Manual, page: str) -> Iterator[NumberedStep]:
    """Yield the steps that a page can name: those of its procedures and common heads."""
    for entity in manual.entities_on(page).values():
        if isinstance(entity, Procedure | Common) and manual.head(type(entity), entity.id):
            yield from manual.plan(entity).steps


def occurrences(desk: Desk, thing: Thing) -> Iterator[Occurrence]:
    """Yield every place that means a thing, page by page, in the order of lines."""
    manual = desk.manual
    for page in manual.contents:
        if thing.id not in desk.text(page):
            continue
        found = [at for word in words_on(desk, page) for at in id_places(word) if at.id == thing.id]
        for at in sorted(set(found), key=lambda at: (at.line, at.column)):
            other = meant(manual, page, at)
            if other is not None and (other.place, other.kind) == (thing.place, thing.kind):
                yield Occurrence(page, at)


def definition(desk: Desk, thing: Thing) -> Occurrence | None:
    """Return the place where a thing is described; its line where no id stands there."""
    page, line = thing.place.page, thing.place.line
    places = [
        at
        for word in words_on(desk, page)
        for at in id_places(word)
        if at.id == thing.id and at.line >= line
    ]
    places.sort(key=lambda at: (not at.defines, at.line))
    return Occurrence(page, places[0]) if places else None
