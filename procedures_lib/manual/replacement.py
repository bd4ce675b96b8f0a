"""What takes another thing's place: a kit's packing list may be all that is said of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS

Find = Callable[[str], Entity | None]


E = TypeVar("E", bound="Entity")

_OF_THE_JOINT = ("how_tight", "at", "recheck", "into", "source")
_OF_THE_PATTERN = ("order", "positions", "front")
_NEIGHBOURS = ("held_by", "behind", "on", "between", "clamp", "with_")


def with_replacements(own: Mapping[str, Entity], kit: Kit, find: Find) -> dict[str, Entity]:
    """Return the entities of a kit's page, with those that only its packing list names.

    ``find`` returns what an id means from that page. A thing that no block describes is like what
    it replaces, beside the other new things; the torque belongs to the joint, so that a fastener
    without stages has those of the fastener that it replaces.
    """
    found = dict(own)
    new_from_old = {item.what: item.replaces for item in kit.contents if item.replaces}
    new_for_old = {str(item.replaces): item.what for item in kit.contents if item.replaces}
    for item in kit.contents:
        described = own.get(item.what)
        old = find(str(item.replaces)) if item.replaces else None
        if isinstance(described, Part | Fastener | Connection):
            found[item.what] = _named(described, item, old)
        elif item.kind in {"part", "fastener", "connection"} and find(item.what) is None:
            made = _like(item, old, new_for_old)
            found.update({item.what: made} if made else {})
    for name, fastener in found.items():
        old_name = new_from_old.get(name) or getattr(fastener, "replaces", None)
        old = find(str(old_name)) if old_name else None
        if isinstance(fastener, Fastener) and isinstance(old, Fastener):
            found[name] = _in_joint(fastener, old)
    return found


def _named(
    new: Part | Fastener | Connection, item: ContentItem, old: Entity | None
) -> Part | Fastener | Connection:
    """Return what a block describes, with a name that only the packing list or the old one has."""
    name = item.name or getattr(old, "name", "")
    return _copy(new, {"name": name}) if name and not new.name else new


def _like(item: ContentItem, old: Entity | None, new_for_old: dict[str, str]) -> Entity | None:
    said: dict[str, Any] = {
        "id": item.what,
        "place": item.place,
        "count": max(item.count - (item.spare or 0), 1),
        "number": item.number,
        "replaces": item.replaces,
    }
    said |= {"name": item.name} if item.name else {}
    said |= {"when": item.when} if item.when != ALWAYS else {}
    wanted = {"part": Part, "fastener": Fastener, "connection": Connection}[item.kind]
    if isinstance(old, Part | Fastener | Connection) and isinstance(old, wanted):
        return _copy(old, {**_renamed(old, new_for_old), **said})
    return Part.model_construct(**said) if item.part else None


def _renamed(old: Entity, new_for_old: dict[str, str]) -> dict[str, Any]:
    """Return the fields that name neighbours, with the new neighbours for the old."""
    fields: dict[str, Any] = {}
    for name in _NEIGHBOURS:
        value = getattr(old, name, None)
        if isinstance(value, tuple):
            fields[name] = tuple(_new(one, new_for_old) for one in value)
        elif value is not None:
            fields[name] = _new(value, new_for_old)
    return fields


def _new(name: Scalar, new_for_old: dict[str, str]) -> Scalar:
    return Scalar(new_for_old.get(name, str(name)), name.line)


def _in_joint(new: Fastener, old: Fastener) -> Fastener:
    if new.how_tight:
        return new
    names = [name for name in _OF_THE_JOINT if not getattr(new, name)]
    if not new.positions and not new.order and new.count == old.count:
        names += _OF_THE_PATTERN
    return _copy(new, {name: getattr(old, name) for name in names})


def _copy(entity: E, changes: dict[str, Any]) -> E:
    """Return a changed copy, without what was worked out from the old values."""
    made = entity.model_copy(update=changes)
    made.__dict__.pop("digest", None)
    return made
