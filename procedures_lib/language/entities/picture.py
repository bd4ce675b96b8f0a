"""A picture of the car or the kit: its file, from where it is seen, and where things are in it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from procedures_lib.language.entities.entity import Entity, Names
from procedures_lib.language.entities.field_types import (
    Text,
    When,
    one,
    plain,
    read_id,
    refuse,
)
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants import ALWAYS

Point = tuple[int, int]

_PIXELS = re.compile(r"[0-9]{1,5}$")
_SHAPES = "write `[412, 220]`, a list of such points, or `{lower left: [412, 220], …}`"


@dataclass(frozen=True, slots=True)
class Shown:
    """A thing that a picture shows, and its points: pixels from the left and from the top.

    ``names`` are the positions that the points are those of, () where the writer gives none: then
    they stand in the order of the group's positions.
    """

    thing: Scalar
    points: tuple[Point, ...]
    names: tuple[Scalar, ...] = ()

    def __str__(self) -> str:
        """Its points in a line."""
        named = self.names or ("",) * len(self.points)
        points = zip(named, self.points, strict=True)
        return ", ".join(f"{name} ({x}, {y})".strip() for name, (x, y) in points)

    @property
    def written(self) -> Any:
        """The points as a page has them."""
        listed = [list(point) for point in self.points]
        if self.names:
            return dict(zip(map(str, self.names), listed, strict=True))
        return listed[0] if len(listed) == 1 else listed


def _shows(value: Any) -> tuple[Shown, ...]:
    if not isinstance(value, dict) or not value:
        refuse("wrong-shape", "what a picture shows is a mapping",
               "write `{thing: [412, 220], …}`, in pixels")  # fmt: skip
    return tuple(_shown(read_id(key), at) for key, at in value.items())


def _shown(thing: Scalar, at: Any) -> Shown:
    if isinstance(at, dict) and at:
        points = tuple(_point(thing, each) for each in at.values())
        return Shown(thing, points, tuple(map(one, at)))
    if isinstance(at, list) and at and all(isinstance(each, list) for each in at):
        return Shown(thing, tuple(_point(thing, each) for each in at))
    return Shown(thing, (_point(thing, at),))


def _point(thing: Scalar, at: Any) -> Point:
    texts = [str(number).strip() for number in at] if isinstance(at, list) else []
    if len(texts) != 2 or not all(map(_PIXELS.match, texts)):
        refuse("wrong-shape", f"`{thing}` is not shown by points of two whole numbers each",
               f"{_SHAPES}, in pixels from the left and the top", thing.line)  # fmt: skip
    return int(texts[0]), int(texts[1])


_POINT = {
    "type": "array", "items": {"type": ["integer", "string"]}, "minItems": 2, "maxItems": 2
}  # fmt: skip
_SCHEMA = {
    "type": "object",
    "minProperties": 1,
    "additionalProperties": {
        "anyOf": [
            _POINT,
            {"type": "array", "items": _POINT, "minItems": 1},
            {"type": "object", "additionalProperties": _POINT, "minProperties": 1},
        ]
    },
}


def _dumped(shows: tuple[Shown, ...]) -> dict[str, Any]:
    return {str(each.thing): each.written for each in shows}


class Picture(Entity):
    """A picture below the manual's folder, named from its page, and what it shows.

    Points are pixels of the picture as it is seen: as taken, and turned as its camera says.
    """

    KIND: ClassVar[str] = "picture"

    name: Text = ""
    file: Text
    seen: Text = ""
    shows: Annotated[
        tuple[Shown, ...],
        Names("fastener", "connection", "part", "opening"),
        *plain(_shows, _SCHEMA, _dumped),
    ] = ()
    when: When = ALWAYS
    note: Text = ""
