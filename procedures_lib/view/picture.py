"""A picture as every front end shows it: what it shows, and under which labels.

Names, numbers and torques come from the blocks; a picture's own pixels hold none of them.
"""

from __future__ import annotations

import string
from collections.abc import Iterator
from dataclasses import dataclass, replace

from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.picture import Picture, Shown
from procedures_lib.manual.scope import Scope
from procedures_lib.view.joint import orders_by_stage
from procedures_lib.view.step import ActionView, StepView, Thing, thing_named
from procedures_lib.view.uses import Uses


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of a picture in pixels, with its label, and the position that it is, "" for none."""

    x: int
    y: int
    label: str
    position: str = ""


Work = tuple[tuple[ActionView, Thing], ...]
"""What a step does to a thing: each action, with the thing as it is on the cars of that action."""


@dataclass(frozen=True, slots=True)
class PicturedThing:
    """A thing in a picture: ``label`` is its letter, "" for a group that stands alone.

    ``order`` are the positions in the order of tightening that the numbers of its marks tell, ()
    where they tell none; ``stages`` are the stages that go in it, () for all. ``work`` is what the
    step does to it that the picture stands in, None where it stands in none.
    """

    thing: Thing
    label: str
    marks: tuple[Mark, ...]
    order: tuple[str, ...] = ()
    stages: tuple[int, ...] = ()
    work: Work | None = None

    @property
    def is_around(self) -> bool:
        """Whether the step that the picture stands in leaves it alone: it says where one is."""
        return self.work == ()

    @property
    def varies(self) -> bool:
        """Whether how tight it has to be differs from car to car."""
        return isinstance(self.thing.entity, Fastener) and self.thing.entity.varies

    @property
    def tightened(self) -> Work:
        """What of the work tightens it."""
        return tuple(
            (action, thing) for action, thing in self.work or () if action.verb == "tighten"
        )


@dataclass(frozen=True, slots=True)
class PictureView:
    """A picture with all that it shows, in the order of its page."""

    picture: Picture
    things: tuple[PicturedThing, ...]

    @property
    def of_step(self) -> tuple[PicturedThing, ...]:
        """What its step works on; all of it, where it stands in no step."""
        return tuple(each for each in self.things if not each.is_around)

    @property
    def around(self) -> tuple[PicturedThing, ...]:
        """What else is seen in it."""
        return tuple(each for each in self.things if each.is_around)


def picture_view(picture: Picture, scope: Scope, step: StepView | None = None) -> PictureView:
    """Return what a picture shows, in a step if it stands in one.

    Ids that nothing defines are left out. Labels are the same in every step.
    """
    known = [shown for shown in picture.shows if scope.get(str(shown.thing)) is not None]
    works = [None if step is None else _work(str(shown.thing), step) for shown in known]
    return PictureView(
        picture,
        tuple(
            _pictured(shown, scope, letter, work, alone=len(known) == 1)
            for shown, letter, work in zip(known, _letters(), works, strict=False)
        ),
    )


def _work(name: str, step: StepView) -> Work:
    return tuple(
        (action, thing)
        for action in step.actions
        for thing in (*action.things, *filter(None, [action.on]))
        if thing.id == name
    )


def pictures_of(step: StepView, uses: Uses) -> tuple[PictureView, ...]:
    """Return the pictures of a step, with what the cars asked about have."""
    found = (uses.plan.scope.of(Picture, name) for name in step.step.pictures)
    views = (
        picture_view(picture, uses.plan.scope, step)
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


def _pictured(
    shown: Shown, scope: Scope, letter: str, work: Work | None, *, alone: bool
) -> PicturedThing:
    thing = thing_named(str(shown.thing), scope)
    entity = thing.entity
    names: tuple[str, ...] = tuple(map(str, shown.names))
    stages: tuple[int, ...] = ()
    order: tuple[str, ...] = ()
    if isinstance(entity, Fastener):
        stages, order = _order_now(entity, work or ())
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
                         stages if ordered else (), work)  # fmt: skip


def _order_now(fastener: Fastener, work: Work) -> tuple[tuple[int, ...], tuple[str, ...]]:
    """The order of the stage that a step does, or of the first, with the stages that go in it.

    No stages where all go in one order.
    """
    orders = orders_by_stage(fastener)
    if len(orders) == 1:
        return (), orders[0][1]
    now = min((action.stage for action, _ in work if action.verb == "tighten"), default=0)
    return next((each for each in orders if now in each[0]), orders[0])
