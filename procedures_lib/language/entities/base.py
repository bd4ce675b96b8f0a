"""What all entities have in common: frozen, with an id, a place, and a line on each field."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping
from functools import cache, cached_property
from pathlib import Path
from types import MappingProxyType
from typing import ClassVar

from pydantic import BaseModel, ConfigDict, Field

from procedures_lib.findings import Place


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
def field_notes() -> dict[str, dict[str, str]]:
    """Return the notes by model and written name of the field; ``any`` holds what all share."""
    text = Path(__file__).with_name("field_notes.toml").read_text("utf-8")
    found: dict[str, dict[str, str]] = tomllib.loads(text)
    return found


def note_on(model: type[Model], field: str) -> str:
    """Return what a field says, by its written name; KeyError when nothing is written about it."""
    own = field_notes().get(model.__name__, {})
    return own[field] if field in own else field_notes()[ANY][field]
