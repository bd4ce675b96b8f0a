"""A picture in words: its alternative text, its caption, and a line for each thing it shows."""

from __future__ import annotations

from collections.abc import Iterator

from procedures_lib.fronts.tables.words import action_stages, stage_major_text, tight_text
from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual.names import small
from procedures_lib.view.picture import PicturedThing, PictureView


def picture_alternative(view: PictureView) -> str:
    """All that a picture tells, for those who can't see it: "View from below; shows …".

    What its step works on comes first.
    """
    picture = view.picture
    title = ", ".join(text for text in (picture.name or "View", picture.seen) if text)
    things = (*view.of_step, *view.around)
    shown = "; ".join(_alternative(each) + _only(each, view) for each in things)
    return f"{title}; shows {shown}." if shown else f"{title}."


def _alternative(pictured: PicturedThing) -> str:
    name = f"{small(pictured.thing.name)} {labels_text(pictured)}"
    if not pictured.order or pictured.is_around:
        return name
    order = ", ".join(f"{n} {each}" for n, each in enumerate(pictured.order, start=1))
    return f"{name} in the order of tightening{_of_stages(pictured)} {order}"


def _only(pictured: PicturedThing, view: PictureView) -> str:
    """The cars of a thing, where they are not those of the picture: it may not be drawn."""
    when = str(pictured.thing.when)
    return f" (only {when})" if when and when != str(view.picture.when) else ""


def picture_caption(view: PictureView) -> str:
    """What stands below a picture: its name, and from where it is seen."""
    seen = f"Seen {small(view.picture.seen)}." if view.picture.seen else ""
    name = f"{view.picture.name}." if view.picture.name else ""
    return " ".join(text for text in (name, seen) if text)


def labels_text(pictured: PicturedThing) -> str:
    """The labels of a thing's marks: "A", "A1 and A2", "1 to 4", "1, 3, 6"."""
    labels = list(dict.fromkeys(mark.label for mark in pictured.marks))
    if len(labels) < 3:
        return " and ".join(labels)
    if len(labels) == len(pictured.order):
        return f"{labels[0]} to {labels[-1]}"
    return ", ".join(labels)


def counted_name(pictured: PicturedThing) -> str:
    """The name of a thing with how many there are: "4 × Cooler bolts"."""
    count = pictured.thing.count or 1
    return f"{count} × {pictured.thing.name}" if count > 1 else pictured.thing.name


def order_note(pictured: PicturedThing) -> str:
    """What the numbers of a group tell, "" where it has none."""
    entity = pictured.thing.entity
    if not pictured.order or not isinstance(entity, Fastener):
        return ""
    others = " Other stages go otherwise: see the drawing." if pictured.stages else ""
    told = f"The numbers are the order of tightening{_of_stages(pictured)}.{others}"
    whole = pictured.work is None or any(not action.stage for action, _ in pictured.tightened)
    return f"{told} {stage_major_text(entity)}".strip() if whole else told


def _of_stages(pictured: PicturedThing) -> str:
    numbers = pictured.stages
    if not numbers:
        return ""
    return f" of stage{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"


def thing_line(pictured: PicturedThing, only: str) -> str:
    """A thing in one line: its labels, its name, how tight it has to be, which cars ``only``.

    In a step that is what the step tightens it to, and nothing where the step does not.
    """
    tight = "; ".join(filter(None, _tight(pictured)))
    words = f"{labels_text(pictured)}  {counted_name(pictured)}"
    return f"{words}{tight and f': {tight}'}{only and f' (only: {only})'}"


def _tight(pictured: PicturedThing) -> Iterator[str]:
    entity = pictured.thing.entity
    if pictured.work is None:
        yield tight_text(entity) if isinstance(entity, Fastener) else ""
    for action, thing in pictured.tightened:
        stages = action_stages(action, thing)
        yield f"{thing.when}: {stages}" if pictured.varies and stages else stages


def around_title(view: PictureView) -> str:
    """What stands before the names of what the step leaves alone: "Also in the picture"."""
    return "Also in the picture" if view.of_step else "In the picture"
