"""What all entities have in common: an id, a place, a note on each field, whom they name."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from types import MappingProxyType
from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict, Field

from procedures_lib.data_tables import toml_table
from procedures_lib.findings import Place
from procedures_lib.language.reading.page import Scalar


def _kebab(name: str) -> str:
    return name.rstrip("_").replace("_", "-")


class Model(BaseModel):
    """A frozen value read from a block; field ``held_by`` is written ``held-by`` on a page."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        alias_generator=_kebab,
        populate_by_name=True,
        arbitrary_types_allowed=True,
    )


class Entity(Model):
    """A thing with an id. Its place takes no part in what it says (:attr:`digest`)."""

    KIND: ClassVar[str] = "entity"

    id: str
    place: Place = Field(exclude=True, repr=False)

    @cached_property
    def digest(self) -> str:
        """A short hash of all that the entity says, and of the page it stands on."""
        said = f"{self.KIND} {self.place.page} {self.model_dump_json(by_alias=True)}"
        return hashlib.blake2b(said.encode(), digest_size=12).hexdigest()


@cache
def fields_of(model: type[Model]) -> Mapping[str, str]:
    """Return the fields a writer may give, by their written name, with the attribute's name."""
    return MappingProxyType(
        {
            (field.alias or name): name
            for name, field in model.model_fields.items()
            if name not in {"id", "place"} or not (issubclass(model, Entity) or field.exclude)
        }
    )


ANY = "any"


@cache
def field_notes() -> dict[str, Any]:
    """Return the notes by model and written name of the field; ``any`` holds what all share."""
    return toml_table(__package__, "field_notes.toml")


def note_on(model: type[Model], field: str) -> str:
    """Return what a field says, by its written name; KeyError when nothing is written about it."""
    own = field_notes().get(model.__name__, {})
    return str(own[field] if field in own else field_notes()[ANY][field])


class Names:
    """Marks a field that names other entities: ``kinds`` is what they may be.

    A ``loose`` one may also name something that is not modelled (a fixed end of a plug). Without
    kinds it marks a part of an entity that has such fields of its own. Items that are no ids name
    one by their ``thing``. ``called`` is what messages call the field where its written name would
    not tell.
    """

    def __init__(self, *kinds: str, loose: bool = False, called: str = "") -> None:
        self.kinds = kinds
        self.loose = loose
        self.called = called


@dataclass(frozen=True, slots=True)
class Reference:
    """A mention of another entity in a field, with the kinds that its :class:`Names` has."""

    field: str
    target: Scalar
    kinds: tuple[str, ...]
    loose: bool = False


def references(entity: Model) -> Iterator[Reference]:
    """Yield every mention of another entity in the fields of ``entity``."""
    for attribute, called, names in _naming(type(entity)):
        value = getattr(entity, attribute)
        for each in value if isinstance(value, tuple) else (value,):
            if isinstance(each, Model):
                yield from references(each)
            elif each is not None:
                target = each if isinstance(each, Scalar) else each.thing
                yield Reference(called, target, names.kinds, names.loose)


def leans_on(entity: Entity) -> Iterator[Reference]:
    """Yield the mentions of heads on whose pages the ids of this entity's page are looked up."""
    heads = {"vehicle", "kit", "procedure"}
    yield from (named for named in references(entity) if heads.intersection(named.kinds))


@cache
def _naming(model: type[Model]) -> tuple[tuple[str, str, Names], ...]:
    """The fields that name others: attribute, what messages call it, and its mark."""
    return tuple(
        (attribute, mark.called or written, mark)
        for written, attribute in fields_of(model).items()
        for mark in model.model_fields[attribute].metadata
        if isinstance(mark, Names)
    )
