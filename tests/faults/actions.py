"""Faults in the ``do`` list of a step: left out, exchanged, of another thing, with another verb."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING

from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.reading.page import Scalar
from tests.faults.kinds import Fault, kind
from tests.faults.likeness import similar
from tests.faults.source import Edit, Source
from tests.faults.steps import WORK, does_something, name_of, touched_by, work
from tests.faults.words import WRONG_VERBS, slips

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.work import Action, Step
    from tests.faults.demo import Demo
    from tests.faults.kinds import Seeder
    from tests.faults.spots import Spot

LOOKING = ("inspect", "clean", "measure", "apply", "test")
ON_HAZARDS = (
    "isolate", "restore", "relieve", "cool", "raise", "lower", "support", "release",
    "cover", "uncover", "tag",
)  # fmt: skip


def all_actions(demo: Demo) -> Iterator[tuple[Source, Step, int, Action]]:
    """Yield every action of the demo, with its place in the list of its step."""
    for source in demo.pages(*WORK):
        for step in source.steps:
            for n, action in enumerate(step.actions):
                yield source, step, n, action


def spot_of(source: Source, step: Step, n: int) -> Spot:
    """Where an action stands."""
    return source.spots(step.block).texts("do")[n]


def rewritten(source: Source, step: Step, n: int, new: str, *more: str) -> Fault:
    """Write another action in the place of one."""
    spot, old = spot_of(source, step, n), step.actions[n]
    what = f"{name_of(step)}: `{new}` for `{old}`"
    touches = (*touched_by(old), *more)
    return Fault(source.name, what, (Edit(spot.start, spot.end, new),), touches)


# -- left out --------------------------------------------------------------------------------------


def _dropping(verbs: tuple[str, ...], *, others: bool = False) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for source, step, n, action in all_actions(demo):
            if (action.verb in verbs) != others:
                edit = source.without(source.spots(step.block), "do", n)
                what = f"{name_of(step)}: drop `{action}`"
                yield Fault(source.name, what, (edit,), touched_by(action))

    return seed


_OWN = (*LOOKING, *ON_HAZARDS, "tighten", "start")
kind("drop an action: look, clean, measure, apply, test")(_dropping(LOOKING))
kind("drop an action: hazards, covers, tags, support")(_dropping(ON_HAZARDS))
kind("drop an action: start, tighten")(_dropping(("start", "tighten")))
kind("drop any other action")(_dropping(_OWN, others=True))


@kind("drop one object of an action")
def without_object(demo: Demo) -> Iterator[Fault]:
    """Leave out one of several objects that share a verb."""
    for source, step, n, action in all_actions(demo):
        for m, name in enumerate(action.objects if len(action.objects) > 1 else ()):
            left = replace(action, objects=action.objects[:m] + action.objects[m + 1 :])
            yield rewritten(source, step, n, str(left), str(name))


@kind("drop the `on` or the stage of an action")
def without_rest(demo: Demo) -> Iterator[Fault]:
    """Leave out where a thing goes, or which stage is meant, or write another stage."""
    for source, step, n, action in all_actions(demo):
        if action.on:
            yield rewritten(source, step, n, str(replace(action, on=None)))
        if action.stage:
            yield rewritten(source, step, n, str(replace(action, stage=0)))
            other = 1 if action.stage > 1 else 2
            yield rewritten(source, step, n, str(replace(action, stage=other)))


# -- of another thing, with another verb -----------------------------------------------------------


def _as(name: Scalar, new: str) -> Scalar:
    return Scalar(new, name.line)


@kind("a similar thing in an action")
def similar_thing(demo: Demo) -> Iterator[Fault]:
    """Name the thing beside it: left for right, old for new, upper for lower."""
    for source, step, n, action in all_actions(demo):
        for m, name in enumerate(action.objects):
            for new in similar(demo, source.name, str(name), tuple(map(str, action.objects))):
                objects = (*action.objects[:m], _as(name, new), *action.objects[m + 1 :])
                yield rewritten(source, step, n, str(replace(action, objects=objects)))


@kind("another verb in an action")
def other_verb(demo: Demo) -> Iterator[Fault]:
    """Write the opposite, or the verb that goes half as far."""
    for source, step, n, action in all_actions(demo):
        for new in WRONG_VERBS.get(str(action.verb), ()):
            written = str(action).replace(str(action.verb), new, 1)
            yield rewritten(source, step, n, written)


@kind("another amount in an action")
def other_amount(demo: Demo) -> Iterator[Fault]:
    """Mistype the quantity of a setting, or of what is topped up."""
    for source, step, n, _ in all_actions(demo):
        spot = spot_of(source, step, n)
        if any(sign.isdigit() for sign in spot.value) and spot.value.startswith(
            ("adjust", "top-up")
        ):
            for new in slips(spot.value):
                yield rewritten(source, step, n, new)


# -- in another order ------------------------------------------------------------------------------


@kind("swap two actions of a step")
def swapped(demo: Demo) -> Iterator[Fault]:
    """Have two actions of a step change places, neighbours or not."""
    for source, steps in work(demo):
        for step in steps:
            for n, m in combinations(range(len(step.actions)), 2):
                one, two = spot_of(source, step, n), spot_of(source, step, m)
                edits = (
                    Edit(one.start, one.end, source.text[two.start : two.end]),
                    Edit(two.start, two.end, source.text[one.start : one.end]),
                )
                a, b = step.actions[n], step.actions[m]
                what = f"{name_of(step)}: swap `{a}` and `{b}`"
                yield Fault(source.name, what, edits, touched_by(a, b))


@kind("swap two objects of an action")
def swapped_objects(demo: Demo) -> Iterator[Fault]:
    """Name two things of an action in the other order."""
    for source, step, n, action in all_actions(demo):
        for a, b in combinations(range(len(action.objects)), 2):
            objects = list(action.objects)
            objects[a], objects[b] = objects[b], objects[a]
            yield rewritten(source, step, n, str(replace(action, objects=tuple(objects))))


@kind("move an action to another step")
def moved(demo: Demo) -> Iterator[Fault]:
    """Put an action first into another step, up to four steps earlier or later."""
    for source, steps in work(demo):
        doing = [step for step in steps if step.actions]
        for at, step in enumerate(doing):
            for n, action in enumerate(step.actions):
                for other in (*doing[max(0, at - 4) : at], *doing[at + 1 : at + 5]):
                    whole = source.spots(other.block)
                    if whole.get("do", 0) is None:
                        continue
                    start, _ = source.rows(*2 * (source.row_of(spot_of(source, other, 0).start),))
                    edits = (
                        source.without(source.spots(step.block), "do", n),
                        Edit(start, start, f"  - {action}\n"),
                    )
                    what = f"`{action}` of {name_of(step)} in {name_of(other)}"
                    yield Fault(source.name, what, edits, touched_by(action))


# -- replacements ----------------------------------------------------------------------------------

PUTTING_IN = frozenset({"fit", "start", "tighten", "connect", "seat", "position"})


@kind("drop what fits a replacement, keep the discard")
def never_fitted(demo: Demo) -> Iterator[Fault]:
    """Forget the new one of what is scrapped: every action that puts it in is gone."""
    for source, new, _ in _replacements(demo):
        edits, touches = [], [new]
        for step in source.steps:
            for n, action in enumerate(step.actions):
                if action.verb in PUTTING_IN and [*map(str, action.objects)] == [new]:
                    edits.append((step, n))
        if edits:
            cuts = tuple(_cuts(source, edits))
            yield Fault(source.name, f"{new} never goes in", cuts, tuple(touches))


def _cuts(source: Source, places: list[tuple[Step, int]]) -> Iterator[Edit]:
    """Take actions out; of a step that loses all of them, the step."""
    for step in {id(step): step for step, _ in places}.values():
        mine = [n for other, n in places if other is step]
        if len(mine) == len(step.actions):
            start, end = source.rows(step.place.line, step.block.end)
            yield Edit(start, end)
        else:
            for n in mine:
                yield source.without(source.spots(step.block), "do", n)


@kind("the old thing goes in again instead of the new")
def old_again(demo: Demo) -> Iterator[Fault]:
    """Copy the lines of the workshop manual: what the kit replaces goes back in."""
    for source, new, old in _replacements(demo):
        edits = []
        for step in filter(does_something, source.steps):
            for n, action in enumerate(step.actions):
                if action.verb in PUTTING_IN and new in map(str, action.objects):
                    spot = spot_of(source, step, n)
                    objects = tuple(
                        _as(name, old) if name == new else name for name in action.objects
                    )
                    written = str(replace(action, objects=objects))
                    edits.append(Edit(spot.start, spot.end, written))
        if edits:
            yield Fault(source.name, f"{old} goes in for {new}", tuple(edits), (old, new))


def _replacements(demo: Demo) -> Iterator[tuple[Source, str, str]]:
    for _, kit in demo.entities(Kit):
        assert isinstance(kit, Kit)
        for source in demo.pages("procedures"):
            if kit.id in {str(getattr(entity, "kit", "")) for entity in source.content.entities}:
                for item in kit.contents:
                    if item.replaces:
                        yield source, str(item.what), str(item.replaces)
