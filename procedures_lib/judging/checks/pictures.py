"""Publishing: pictures, their files, and the points at which they show things."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations, islice
from pathlib import Path

from procedures_lib.findings import Finding, Place, counted
from procedures_lib.judging.checks.mentions import whole_things
from procedures_lib.judging.checks.publishing import PathFault, file_fault, outside, path_from
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.picture import Picture, Shown
from procedures_lib.language.reading.allow_list import address_fault
from procedures_lib.manual import Manual
from procedures_lib.manual.picture_file import PictureError, PictureSize, picture_size
from procedures_lib.spelling import choices, suggestion
from procedures_lib.view.picture import picture_view, position_names
from procedures_lib.view.picture_crowd import is_crowded
from procedures_lib.view.picture_labels import LETTERING, PHONE, in_the_way

NARROWEST = 1170
"""Pixels: the width of a phone of 390 CSS pixels whose screen has three dots for each."""

LONGEST = 4
"""How much longer one side may be: on a phone's 358 pixels the other has 90, three labels high."""

HEAVIEST = 16_000_000
"""Bytes: what a camera of 50 million pixels writes at most, common practice, no source."""


def pictures(manual: Manual, page: str) -> Iterator[Finding]:
    """Find pictures that can't be shown, or not well, and things that stand beside their points."""
    for picture in whole_things(manual, page, Picture):
        yield from _alternative(picture)
        file, size = picture_file(manual, picture), None
        if isinstance(file, PathFault):
            yield Finding(picture.place, *file)
        elif file is not None:
            size = file[1]
            yield from _size(size, picture)
            yield from _crowded(manual, picture, size)
        for shown in picture.shows:
            yield from _inside(picture, shown, size)
            yield from _counts(manual, picture, shown)


def _alternative(picture: Picture) -> Iterator[Finding]:
    if not picture.seen:
        said = f"`{picture.id}` does not say from where it is seen"
        hint = "write `seen: from below, front of the car up`: it is read out, and printed below"
        yield Finding(picture.place, "no-alternative", said, hint)
    if not picture.shows:
        said = f"`{picture.id}` does not say what it shows"
        hint = "write `shows: {thing: [412, 220]}`, or a plain `![words](file)`"
        yield Finding(picture.place, "no-alternative", said, hint)


def picture_file(manual: Manual, picture: Picture) -> tuple[Path, PictureSize] | PathFault | None:
    """Return a picture's file and size, or why it can't be shown; None where there is no folder."""
    page, name = picture.place.page, picture.file
    fault = address_fault(name, picture=True)
    if fault is not None:
        return PathFault(fault.check, fault.message, fault.hint)
    path = path_from(page, name)
    if manual.files is None or not path:
        return None if path else outside(name)
    root = manual.files.root
    wrong = file_fault(root, page, name, picture=True)
    if wrong is not None:
        return wrong
    if _is_link(root, path):
        said = f"`{name}` is a link"
        return PathFault("foreign-file", said, "copy the picture itself there")
    try:
        return root / path, picture_size(root / path)
    except PictureError as error:
        return PathFault(error.check, error.message, error.hint)


def _is_link(root: Path, path: str) -> bool:
    steps = [root / path, *(root / path).parents]
    return any(step.is_symlink() for step in steps[: path.count("/") + 1])


def _size(size: PictureSize, picture: Picture) -> Iterator[Finding]:
    if size.width < NARROWEST:
        said = f"`{picture.file}` is {size.width} pixels wide: on a phone it is blurred"
        hint = f"take it from nearer, or save it {NARROWEST} pixels wide or more"
        yield Finding(picture.place, "picture-size", said, hint)
    longer, shorter = max(size.width, size.height), min(size.width, size.height)
    if longer > LONGEST * shorter:
        said = f"`{picture.file}` is {longer / shorter:.0f} times as long as the other way"
        hint = f"crop it: at most {LONGEST} to 1, or nothing in it is large enough on a phone"
        yield Finding(picture.place, "picture-size", said, hint)
    if size.weight > HEAVIEST:
        said = f"`{picture.file}` weighs {size.weight / 1e6:.0f} MB"
        hint = f"save it as JPEG, or smaller: {HEAVIEST // 10**6} MB at most"
        yield Finding(picture.place, "picture-size", said, hint)


def _crowded(manual: Manual, picture: Picture, size: PictureSize) -> Iterator[Finding]:
    """Find points that lie so close that on a phone a label covers something or is run through."""
    view = picture_view(picture, manual.scope(picture.place.page))
    marks = tuple(mark for each in view.things for mark in each.marks)
    scale = PHONE / size.width
    if not is_crowded(marks, scale):
        return
    found = in_the_way(marks, scale, (PHONE, size.height * scale), LETTERING)
    if found:
        things = [each.thing.id for each in view.things if set(found) & set(each.marks)]
        said = f"points too close: on a phone {counted(len(found), 'name')} are in the way"
        hint = f"split the picture: show {choices(things)} in a second one, from nearer"
        yield Finding(picture.place, "points-close", f"{said} of others or of lines", hint)


def _inside(picture: Picture, shown: Shown, size: PictureSize | None) -> Iterator[Finding]:
    for x, y in shown.points if size else ():
        if size and not (x < size.width and y < size.height):
            said = (
                f"`{shown.thing}` is shown at [{x}, {y}], outside of the picture,"
                f" which is {size.width} wide and {size.height} high"
            )
            hint = "give pixels from the left and the top of the picture as it is seen"
            place = Place(picture.place.page, shown.thing.line)
            yield Finding(place, "point-outside", said, hint)


def _counts(manual: Manual, picture: Picture, shown: Shown) -> Iterator[Finding]:
    """Find points that are not those of the group: too many, too few, of names that it lacks."""
    entity = manual.scope(picture.place.page).get(shown.thing)
    if entity is None or manual.is_damaged(entity):
        return
    place = Place(picture.place.page, shown.thing.line)
    names = position_names(entity) if isinstance(entity, Fastener) else ()
    for name in shown.names:
        if name not in names:
            said = f"`{shown.thing}` has no position `{name}`"
            hint = suggestion(str(name), names) if names else "give its points as a list"
            yield Finding(Place(place.page, name.line), "points-differ", said, hint)
            return
    count, points = getattr(entity, "count", 1), len(shown.points)
    pointed_at = points == 1 and not (isinstance(entity, Fastener) and entity.order)
    if not shown.names and points != count and not pointed_at:
        there = f"there {'is' if count == 1 else 'are'} {count}"
        said = f"`{shown.thing}` is shown at {counted(points, 'point')}, and {there}"
        yield Finding(
            place, "points-differ", said, _how_many(count, entity), related=(entity.place,)
        )
        return
    twice = next((at for n, at in enumerate(shown.points) if at in shown.points[:n]), None)
    if twice is not None:
        said = f"two of `{shown.thing}` are shown at the same point {list(twice)}"
        yield Finding(place, "points-differ", said, "look at the picture again, and move one")
        return
    if isinstance(entity, Fastener):
        yield from _turned(entity, shown, place)


def _how_many(count: int, entity: object) -> str:
    if count == 1:
        return "give one point: `[412, 220]`"
    if isinstance(entity, Fastener) and (entity.positions or entity.order):
        return "give a point for each, or name those that are seen: `{lower left: [412, 220]}`"
    return "give a point for each, or one for all of them: `[412, 220]`"


_CLEAR = 0.2
"""How high a triangle must be, against its longest side, for its turn to be seen in any view."""

_ENOUGH = 24


def _turned(fastener: Fastener, shown: Shown, place: Place) -> Iterator[Finding]:
    """Find points that no view of the pattern can give, such as two that are exchanged.

    Seen from wherever, all triangles of a flat pattern keep their turn, or all lose it.
    """
    points = dict(zip(shown.names or position_names(fastener), shown.points, strict=False))
    at = {str(name): (float(x), float(y)) for name, (x, y) in points.items()}
    if len(at) > 3 and not _is_one_view(dict(fastener.positions), at):
        said = f"the points of `{shown.thing}` do not lie as its positions do, from any side"
        hint = "look whether two are exchanged, and name each: `{lower left: [412, 220], …}`"
        yield Finding(place, "points-turned", said, hint, related=(fastener.place,))


def _is_one_view(
    positions: Mapping[str, tuple[float, float]], points: Mapping[str, tuple[float, float]]
) -> bool:
    known = [name for name in islice(points, _ENOUGH) if name in positions]
    turns = set()
    for names in combinations(known, 3):
        there, here = (_turn(*(of[name] for name in names)) for of in (positions, points))
        if there and here:
            turns.add(there == here)
    return len(turns) < 2


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> int:
    """Which way a triangle turns, 1 or -1; 0 for one that is nearly flat."""
    area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    longest = max((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 for p, q in ((a, b), (b, c), (c, a)))
    return 0 if abs(area) <= _CLEAR * longest else 1 if area > 0 else -1
