"""A picture as every front end shows it: what it shows, under which labels, and where these stand.

Names, numbers and torques come from the blocks; a picture's own pixels hold none of them.
"""

from __future__ import annotations

import math
import string
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.picture import Picture, Shown
from procedures_lib.language.entities.work import Step
from procedures_lib.manual.scope import Scope
from procedures_lib.view.joint import orders_by_stage
from procedures_lib.view.step import Thing, thing_named
from procedures_lib.view.uses import Uses

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of a picture in pixels, with its label, and the position that it is, "" for none."""

    x: int
    y: int
    label: str
    position: str = ""


@dataclass(frozen=True, slots=True)
class PicturedThing:
    """A thing in a picture: ``label`` is its letter, "" for a group that stands alone.

    ``order`` are the positions in the order of tightening that the numbers of its marks tell, ()
    where they tell none; ``stages`` are the stages that go in it, () for all.
    """

    thing: Thing
    label: str
    marks: tuple[Mark, ...]
    order: tuple[str, ...] = ()
    stages: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PictureView:
    """A picture with all that it shows, in the order of its page."""

    picture: Picture
    things: tuple[PicturedThing, ...]


def picture_view(picture: Picture, scope: Scope) -> PictureView:
    """Return what a picture shows; ids that nothing defines are left out."""
    known = [shown for shown in picture.shows if scope.get(str(shown.thing)) is not None]
    letters = _letters()
    return PictureView(
        picture,
        tuple(_pictured(shown, scope, next(letters), alone=len(known) == 1) for shown in known),
    )


def pictures_of(step: Step, uses: Uses) -> tuple[PictureView, ...]:
    """Return the pictures of a step, with what the cars asked about have."""
    found = (uses.plan.scope.of(Picture, name) for name in step.pictures)
    views = (
        picture_view(picture, uses.plan.scope)
        for picture in found
        if picture is not None and uses.applies(picture.when)
    )
    return tuple(
        replace(view, things=tuple(t for t in view.things if uses.applies(t.thing.when)))
        for view in views
    )


def _letters() -> Iterator[str]:
    """A, B, C …, AA, AB …; none that may be taken for 1 or 0."""
    plain = [letter for letter in string.ascii_uppercase if letter not in "IO"]
    for first in ("", *plain):
        for letter in plain:
            yield first + letter


def position_names(fastener: Fastener) -> tuple[str, ...]:
    """Return the names by which a group's points go: its positions, or those of its order."""
    if fastener.positions:
        return tuple(name for name, _ in fastener.positions)
    return orders_by_stage(fastener)[0][1]


def _pictured(shown: Shown, scope: Scope, letter: str, *, alone: bool) -> PicturedThing:
    thing = thing_named(str(shown.thing), scope)
    entity = thing.entity
    names: tuple[str, ...] = tuple(map(str, shown.names))
    stages: tuple[int, ...] = ()
    order: tuple[str, ...] = ()
    if isinstance(entity, Fastener):
        orders = orders_by_stage(entity)
        stages, order = orders[0] if len(orders) > 1 else ((), orders[0][1])
        names = names or position_names(entity)
    if len(names) != len(shown.points):
        names = ("",) * len(shown.points)
    numbers: dict[str, list[str]] = {}
    for number, name in enumerate(order, start=1):
        numbers.setdefault(name, []).append(str(number))
    ordered = any(name in numbers for name in names)
    label = "" if alone and ordered else letter
    marks = [
        Mark(x, y, label + "/".join(numbers.get(name, ())) or letter, name)
        for name, (x, y) in zip(names, shown.points, strict=True)
    ]
    marks.sort(key=lambda mark: min((order.index(mark.position),), default=0)
               if mark.position in order else len(order))  # fmt: skip
    return PicturedThing(thing, label, tuple(marks), order if ordered else (),
                         stages if ordered else ())  # fmt: skip


# -- where the labels stand ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Lettering:
    """How large labels are drawn, in the units of the sheet: a mark's ``ring``, a label's ``high``.

    ``letter`` is the width of one letter, ``gap`` what is left free around things.
    """

    ring: float
    high: float
    letter: float
    gap: float

    def wide(self, label: str) -> float:
        """The width of a label: at least as wide as it is high."""
        return max(self.high, len(label) * self.letter + self.high / 2)


@dataclass(frozen=True, slots=True)
class Placed:
    """A mark on a sheet: its point, and the middle of its label."""

    mark: Mark
    point: Place
    label: Place


_WAYS = ((1, 0), (-1, 0), (0, -1), (0, 1), (0.7, -0.7), (-0.7, -0.7), (0.7, 0.7), (-0.7, 0.7))
"""Where a label may stand, seen from its point: beside it first, slantwise last."""


def placed(
    marks: Sequence[Mark], scale: float, sheet: Place, lettering: Lettering
) -> tuple[Placed, ...]:
    """Return where the labels of marks stand on a sheet (width, height); y runs downwards.

    ``scale`` is the units of the sheet for one pixel. A label stands beside its point, where it
    covers no point, no other label and no edge; where there is no such place, as near as can be.
    """
    points = [(mark.x * scale, mark.y * scale) for mark in marks]
    taken: list[tuple[Place, float]] = []
    found = []
    for mark, point in zip(marks, points, strict=True):
        wide = lettering.wide(mark.label)
        places = [_within(at, wide, sheet, lettering) for at in _around(point, wide, lettering)]
        best = min(places, key=lambda at: _covers(at, wide, points, taken, lettering))
        taken.append((best, wide))
        found.append(Placed(mark, point, best))
    return tuple(found)


def edge_of_ring(each: Placed, lettering: Lettering) -> Place:
    """Return where the line to a label leaves the ring, seen from the mark's point."""
    dx, dy = each.label[0] - each.point[0], each.label[1] - each.point[1]
    far = math.hypot(dx, dy)
    return (dx * lettering.ring / far, dy * lettering.ring / far) if far else (0.0, 0.0)


def _around(point: Place, wide: float, lettering: Lettering) -> Iterator[Place]:
    for times in (1.0, 2.0, 3.2):
        for across, down in _WAYS:
            right = lettering.ring + lettering.gap + wide / 2
            below = lettering.ring + lettering.gap + lettering.high / 2
            yield point[0] + across * right * times, point[1] + down * below * times


def _within(at: Place, wide: float, sheet: Place, lettering: Lettering) -> Place:
    """A place moved so far that the label stands on the sheet."""
    x = min(max(at[0], wide / 2 + 1), sheet[0] - wide / 2 - 1)
    y = min(max(at[1], lettering.high / 2 + 1), sheet[1] - lettering.high / 2 - 1)
    return x, y


def _covers(
    at: Place,
    wide: float,
    points: Sequence[Place],
    taken: Sequence[tuple[Place, float]],
    lettering: Lettering,
) -> float:
    """How much a label at a place would cover: of points, and of labels that stand already."""
    half, tall = wide / 2, lettering.high / 2
    near = lettering.ring
    covered = 0.0
    for x, y in points:
        over = _overlap(at[0] - x, half + near) * _overlap(at[1] - y, tall + near)
        covered += 2 * over
    for (x, y), other in taken:
        across = _overlap(at[0] - x, half + other / 2 + lettering.gap / 2)
        covered += across * _overlap(at[1] - y, 2 * tall + lettering.gap / 2)
    return covered


def _overlap(apart: float, room: float) -> float:
    return max(0.0, room - abs(apart))
