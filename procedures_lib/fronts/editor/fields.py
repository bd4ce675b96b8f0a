"""Which field of which model a word of a block stands in, and what that field may hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar, get_args

from procedures_lib.fronts.formats.block_schema import model_of
from procedures_lib.language.entities.builder import COLLECTIONS
from procedures_lib.language.entities.entity import Model, Names, fields_of
from procedures_lib.language.entities.field_types import OneOf
from procedures_lib.language.reading.word_places import ITEM, Word
from procedures_lib.language.variants import Condition

M = TypeVar("M")


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a model by its written name; ``within`` are the keys inside its value."""

    model: type[Model]
    name: str
    within: tuple[str, ...] = ()

    @property
    def names(self) -> Names | None:
        """The mark of a field that names other entities."""
        return next(iter(_marks(self.model, self.name, Names)), None)

    @property
    def words(self) -> tuple[str, ...]:
        """The closed list that its value is from, () for none."""
        marks = _marks(self.model, self.name, OneOf)
        return marks[0].words if marks else ()

    @property
    def is_condition(self) -> bool:
        """Whether it says on which cars something is so."""
        return Condition in _types(self.model, self.name)

    @property
    def is_yes_or_no(self) -> bool:
        """Whether it is true or false."""
        return bool in _types(self.model, self.name)


def field_of(word: Word) -> Field | None:
    """Return the field that a key names, or that a value stands in."""
    model, keys = _start(word)
    if model is None:
        return None
    found = None
    while keys:
        if keys[0] not in fields_of(model):
            return found
        found = Field(model, keys[0], keys[1:])
        inner = _model_inside(model, keys[0])
        if inner is None:
            return found
        keys = tuple(key for n, key in enumerate(keys[1:]) if n or key != ITEM)
        model = inner
    return found


def model_at(word: Word) -> tuple[type[Model] | None, tuple[str, ...]]:
    """Return the model whose fields a key stands among, and the path above the key."""
    model, keys = _start(word)
    above = keys[:-1]
    while model is not None and above:
        if above[0] == ITEM:
            above = above[1:]
            continue
        model = _model_inside(model, above[0]) if above[0] in fields_of(model) else None
        above = above[1:]
    return model, word.path[:-1]


def _start(word: Word) -> tuple[type[Model] | None, tuple[str, ...]]:
    """The model of a block, or of an entry of a collection, and the keys below it."""
    if word.use not in {"key", "value"} or word.block == "expect":
        return None, ()
    keys = word.path
    if word.block in COLLECTIONS:
        return (model_of(word.block), keys[1:]) if len(keys) > 1 else (None, ())
    return model_of(word.block), keys


@cache
def _model_inside(model: type[Model], name: str) -> type[Model] | None:
    """The model that a field's value, or each item of it, is read into."""
    for each in _types(model, name):
        if isinstance(each, type) and issubclass(each, Model):
            return each
    return None


@cache
def _types(model: type[Model], name: str) -> tuple[Any, ...]:
    return tuple(_inside(model.model_fields[fields_of(model)[name]].annotation))


def _inside(annotation: Any) -> Iterator[Any]:
    yield annotation
    for each in get_args(annotation):
        yield from _inside(each)


def _marks(model: type[Model], name: str, kind: type[M]) -> list[M]:
    field = model.model_fields[fields_of(model)[name]]
    inner = (mark for each in _types(model, name) for mark in getattr(each, "__metadata__", ()))
    return [mark for mark in (*field.metadata, *inner) if isinstance(mark, kind)]
