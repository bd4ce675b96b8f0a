"""Faults in the fields of what a block defines: a wrong word, a similar thing, one left out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from procedures_lib.language.entities.kit import Kit
from tests.faults.kinds import Fault, Severity, kind
from tests.faults.likeness import similar
from tests.faults.source import Edit, Source
from tests.faults.words import CONFUSED, OTHER_UNITS, slips

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.entity import Entity
    from tests.faults.demo import Demo
    from tests.faults.kinds import Seeder
    from tests.faults.spots import Spot

DEPTH = ("into", "needs", "fits")
"""Fields that hold fields of their own."""

NAMING = {
    "held-by": ("held-by", "clamp"), "with": ("with",), "behind": ("behind",),
    "hidden-by": ("hidden-by",), "on": ("on",), "between": ("between",),
    "exposed-by": ("exposed-by",), "closes": ("closes",),
}  # fmt: skip
"""Kinds of faults in fields that name other things: kind, and the fields."""

SAID = {
    "carries": ("carries",), "condition": ("condition",), "class": ("class",), "kind": ("kind",),
    "turns": ("turns",), "reuse": ("reuse",), "reached-from": ("reached-from",),
    "needs-support": ("needs-support",),
    "into: part, material, engagement": ("part", "material", "engagement"),
    "spec, drain or fill": ("spec", "drain", "fill"),
    "reach, front or grip": ("reach", "front", "grip", "adapter", "dirt-sensitive"),
    "alike": ("alike",),
    "count": ("count",), "mass": ("mass",), "recheck": ("recheck",), "quantity": ("quantity",),
}  # fmt: skip
"""Kinds of faults in fields that hold a word or a number, or lead to another thing."""

LEFT_OUT = ("at", "thread", "source", "head", "bleed")
OF_HAZARDS = ("signal", "called-by", "made-safe-by", "avoid", "harm", "tools", "protection")
ONLY_WASTES = ("source", "head", "reach, front or grip")


@dataclass(frozen=True, slots=True)
class Field:
    """A field of an entity: ``whole`` is the mapping that it stands in."""

    source: Source
    entity: Entity
    whole: Spot
    key: str
    value: Spot

    def fault(self, said: str, *edits: Edit) -> Fault:
        """A fault of this field."""
        what = f"{self.entity.id}: {self.key} {said}"
        return Fault(self.source.name, what, edits, (self.entity.id, self.value.value))

    def written(self, new: str) -> Fault:
        """Another value in its place."""
        return written(self, self.value, new)

    def dropped(self) -> Fault:
        """The field left out."""
        return self.fault("left out", self.source.without(self.whole, self.key))


def written(field: Field, spot: Spot, new: str) -> Fault:
    """Return a fault that has another text in the place of a value, in its quotation marks."""
    old = field.source.text[spot.start : spot.end]
    mark = old[0] if old[0] in "\"'" else ""
    return field.fault(
        f"`{new}` for `{spot.value}`", Edit(spot.start, spot.end, f"{mark}{new}{mark}")
    )


def fields(demo: Demo, *keys: str) -> Iterator[Field]:
    """Yield the fields of all entities that have one of the names given."""
    for source in demo.sources.values():
        for entity in source.content.entities:
            if isinstance(entity, Kit):
                continue
            whole = source.spot_of(entity)
            inner = (value for key, value in whole.entries if key.value in DEPTH)
            for mapping in (whole, *inner):
                for key, value in mapping.entries:
                    if key.value in keys:
                        yield Field(source, entity, mapping, key.value, value)


# -- fields that name other things -----------------------------------------------------------------


def _similar(demo: Demo, field: Field) -> Iterator[Fault]:
    """Yield a similar thing for each that a field names, and each left out."""
    parts = field.whole.texts(field.key)
    taken = tuple(part.value for part in parts)
    for n, part in enumerate(parts):
        for new in similar(demo, field.source.name, part.value, taken):
            if new != field.entity.id:
                yield written(field, part, new)
        if field.key != "between":
            edit = field.source.without(field.whole, field.key, n)
            yield field.fault(f"without `{part.value}`", edit)


def _naming(keys: tuple[str, ...]) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for field in fields(demo, *keys):
            yield from _similar(demo, field)

    return seed


for _name, _keys in NAMING.items():
    kind(f"wrong `{_name}`")(_naming(_keys))


# -- words and numbers -----------------------------------------------------------------------------


def _wrongly(demo: Demo, field: Field) -> Iterator[Fault]:
    """Yield a field with other words or numbers in it, with a similar thing, and left out."""
    text = field.value.value
    words = CONFUSED.get(field.key)
    if words is not None:
        for new in words.get(text, ()):
            yield field.written(new)
    elif any(sign.isdigit() for sign in text[:1]):
        for new in slips(text):
            yield field.written(new)
        unit = text.partition(" ")[2]
        if unit in OTHER_UNITS:
            yield field.written(text.replace(unit, OTHER_UNITS[unit]))
    else:
        yield from _similar(demo, field)
        return
    if field.key != "kind" or field.entity.KIND == "part":
        yield field.dropped()


def _saying(keys: tuple[str, ...]) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for field in fields(demo, *keys):
            yield from _wrongly(demo, field)

    return seed


for _name, _keys in SAID.items():
    _waste = _name in ONLY_WASTES
    _least = Severity.WASTES if _waste else Severity.DAMAGES
    kind(f"wrong `{_name}`", _least, rises=not _waste)(_saying(_keys))


@kind("drop `thread`, `at`, `source` or `head`")
def left_out(demo: Demo) -> Iterator[Fault]:
    """Leave out what a joint says of itself."""
    for field in fields(demo, *LEFT_OUT):
        fault = field.dropped()
        yield replace(fault, severity=Severity.WASTES) if field.key in ONLY_WASTES else fault


@kind("wrong hazard in a block of hazards", Severity.INJURES)
def wrong_hazard(demo: Demo) -> Iterator[Fault]:
    """Play it down, forget what calls for it or what makes it safe, take a similar thing."""
    for field in fields(demo, *OF_HAZARDS):
        if field.entity.KIND == "hazard":
            yield from _wrongly(demo, field)
            if not CONFUSED.get(field.key):
                yield field.dropped()


ADDED = {"turns: left": "turns", "reuse: false": "reuse", "at: ride-height": "at"}


@kind("a field added that belongs to another joint")
def added(demo: Demo) -> Iterator[Fault]:
    """Say of a joint what is true of its neighbour: left-hand, new every time, at ride height."""
    for field in fields(demo, "tighten"):
        for text, key in ADDED.items():
            if not field.whole.get(key):
                edit = field.source.entry(field.whole, text)
                what = f"{field.entity.id}: `{text}` added"
                yield Fault(field.source.name, what, (edit,), (field.entity.id,))


@kind("a whole thing left out of its block")
def forgotten(demo: Demo) -> Iterator[Fault]:
    """Forget to define a part, a connection, an opening, a fastener or a fluid."""
    for source in demo.sources.values():
        for entity in source.content.entities:
            block = source.block_at(entity.place.line)
            whole = source.spots(block)
            if whole.get(entity.id) and len(whole.entries) > 1:
                edit = source.without(whole, entity.id)
                what = f"{entity.KIND} {entity.id} left out"
                yield Fault(source.name, what, (edit,), (entity.id,))
