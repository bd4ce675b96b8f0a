"""A picture as a figure: its files for phone and desk, the marks over it, the list below it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from procedures_lib.fronts.site.html import Href, applies_html, by_car, element
from procedures_lib.fronts.site.nodes import amount_html, stage_amounts
from procedures_lib.fronts.tables.picture_words import (
    around_title,
    counted_name,
    labels_text,
    order_note,
    picture_alternative,
    picture_caption,
)
from procedures_lib.fronts.tables.words import NO_TORQUE, action_stages, stages_text
from procedures_lib.language.entities.car import Fastener
from procedures_lib.view.picture import PicturedThing, PictureView
from procedures_lib.view.picture_crowd import Box
from procedures_lib.view.picture_labels import LETTERING, PHONE, Placed, line_of, placed
from procedures_lib.view.picture_targets import targets

DESK = 640.0
"""CSS pixels: about how wide a picture is at a desk.

Marks are placed for it and for a phone and grow with the picture: none moves onto another.
"""

_SIZE = 18
_SIZES = "(min-width: 60rem) 36rem, calc(100vw - 2rem)"


@dataclass(frozen=True, slots=True)
class PictureSource:
    """A picture's file in one width: its address as seen from the page, its size in pixels."""

    address: str
    width: int
    height: int


def picture_html(
    view: PictureView, size: tuple[int, int], sources: Sequence[PictureSource], href: Href
) -> str:
    """Return the figure of a picture.

    ``size`` is that of the picture in which its points are given; without ``sources`` the words
    stand alone. Nothing in it depends on a script, and no text stands in the picture itself. In a
    step the list has what the step works on; of what else is seen only the names stand below.
    """
    when = str(view.picture.when)
    caption = element("figcaption", escape(picture_caption(view)) + applies_html(when))
    listed = "".join(_thing(each, when, href) for each in view.of_step)
    things = element("ul", listed, class_="picture-things") if listed else ""
    tall = size[1] > size[0]
    return element(
        "figure",
        f"{_frame(view, size, sources, href)}{caption}{things}{_around(view, href)}",
        class_="picture tall" if tall else "picture",
        data_picture=view.picture.id,
        data_when=when,
    )


def _frame(
    view: PictureView, size: tuple[int, int], sources: Sequence[PictureSource], href: Href
) -> str:
    alternative = escape(picture_alternative(view))
    if not sources:
        return element("p", alternative)
    last = sources[-1]
    image = (
        f'<img src="{escape(sources[0].address)}"'
        f' srcset="{escape(", ".join(f"{each.address} {each.width}w" for each in sources))}"'
        f' sizes="{_SIZES}" width="{last.width}" height="{last.height}" alt="{alternative}"'
        ' loading="lazy" decoding="async">'
    )
    drawings = [_drawing(view, size, PHONE)]
    if size[0] >= size[1]:  # a tall picture is never as wide
        drawings.append(_drawing(view, size, DESK))
    layers = "".join(_layer(each, n, drawings, href) for n, each in enumerate(view.things))
    return element("div", image + layers, class_="picture-frame")


@dataclass(frozen=True, slots=True)
class _Drawing:
    """The marks of a picture in one width: those of each thing, and where each of them is hit."""

    sheet: tuple[float, float]
    marks: tuple[tuple[Placed, ...], ...]
    targets: tuple[tuple[Box, ...], ...]


def _drawing(view: PictureView, size: tuple[int, int], wide: float) -> _Drawing:
    scale = wide / size[0]
    marks = tuple(mark for each in view.things for mark in each.marks)
    sheet = wide, size[1] * scale
    places = iter(placed(marks, scale, sheet, LETTERING))
    things = tuple(tuple(next(places) for _ in each.marks) for each in view.things)
    return _Drawing(sheet, things, targets(things, sheet, LETTERING))


def _layer(pictured: PicturedThing, n: int, drawings: Sequence[_Drawing], href: Href) -> str:
    """The marks of one thing, over the whole picture, so that a page can leave them out for a car.

    The list below says the same and is what keyboard and screen reader come to.
    """
    address = _address(pictured, href)
    drawn = "".join(
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" aria-hidden="true"'
        f' viewBox="0 0 {each.sheet[0]:g} {each.sheet[1]:.1f}">{_marks(each, n, address)}</svg>'
        for name, each in zip(("near", "wide"), drawings, strict=False)
    )
    when = str(pictured.thing.when)
    names = "picture-layer around" if pictured.is_around else "picture-layer"
    return element("div", drawn, class_=names, data_thing=pictured.thing.id, data_when=when)


def _marks(drawing: _Drawing, n: int, address: str) -> str:
    drawn = "".join(map(_mark, drawing.marks[n]))
    if not address:
        return drawn
    hit = "".join(
        f"M{left:.0f} {top:.0f}H{right:.0f}V{foot:.0f}H{left:.0f}z"
        for left, top, right, foot in drawing.targets[n]
    )
    return element("a", f'<path class="hit" d="{hit}"/>{drawn}', href=address, tabindex="-1")


def _mark(each: Placed) -> str:
    """A ring at the point, a line, and the label: their colours stand in the style sheet."""
    (x, y), (at, down), ring = each.point, each.label, LETTERING.ring
    wide, high = LETTERING.wide(each.mark.label), LETTERING.high
    start, end = line_of(each, LETTERING)
    half = f"a{ring:g} {ring:g} 0 1 0 {{:g}} 0".format
    way = (
        f"M{start[0]:.1f} {start[1]:.1f}L{end[0]:.1f} {end[1]:.1f}"
        f"M{x - ring:.1f} {y:.1f}{half(2 * ring)}{half(-2 * ring)}"
    )
    return (
        f'<path class="halo" d="{way}"/><path d="{way}"/>'
        f'<rect x="{at - wide / 2:.1f}" y="{down - high / 2:.1f}"'
        f' width="{wide:g}" height="{high:g}" rx="6"/>'
        f'<text x="{at:.1f}" y="{down + _SIZE * 0.36:.1f}">{escape(each.mark.label)}</text>'
    )


def _address(pictured: PicturedThing, href: Href) -> str:
    kind = "fastener" if isinstance(pictured.thing.entity, Fastener) else "definition"
    return href(f"{kind}:{pictured.thing.id}")


def _thing(pictured: PicturedThing, shown_when: str, href: Href) -> str:
    """A line of the list: the label, the name that opens the joint, how tight it has to be.

    Its cars are not said again where the whole picture is for the same ones.
    """
    line, when = _named(pictured, href), str(pictured.thing.when)
    tight = _tight(pictured.thing.entity) if pictured.work is None else _tight_now(pictured)
    note = order_note(pictured)
    more = element("span", escape(note), class_="picture-note") if note else ""
    cars = "" if when == shown_when else applies_html(when)
    return element("li", line + "".join(tight) + cars + more, data_when=when)


def _named(pictured: PicturedThing, href: Href) -> str:
    label = element("span", escape(labels_text(pictured)), class_="picture-label")
    name, address = element("span", escape(counted_name(pictured))), _address(pictured, href)
    return element("a", label + name, href=address) if address else label + name


def _around(view: PictureView, href: Href) -> str:
    """The names of what the step of a picture leaves alone: no torque stands beside them."""
    listed = "".join(
        element("li", _named(each, href), data_when=str(each.thing.when)) for each in view.around
    )
    if not listed:
        return ""
    title = element("p", f"{around_title(view)}:", class_="picture-also")
    return title + element("ul", listed, class_="picture-things around")


def _tight_now(pictured: PicturedThing) -> Iterator[str]:
    """The stages of a joint that its step does, each with its cars where they differ."""
    for n, (action, thing) in enumerate(pictured.tightened):
        joint, text = thing.entity, action_stages(action, thing)
        if not isinstance(joint, Fastener) or not text:
            continue
        shown = amount_html(escape(text), stage_amounts(joint.tighten, action.stage), "strong")
        apart = " " if n else ""
        yield apart + (by_car(shown, str(thing.when)) if pictured.varies else shown)


def _tight(entity: object) -> Iterator[str]:
    """The stages of a joint, each with its cars where they differ."""
    if not isinstance(entity, Fastener):
        return
    if entity.tighten:
        yield amount_html(
            escape(stages_text(entity.tighten)), stage_amounts(entity.tighten), "strong"
        )
    elif entity.how_tight:
        for when, stages in entity.how_tight.by_condition:
            shown = amount_html(escape(stages_text(stages)), stage_amounts(stages), "strong")
            yield by_car(shown, str(when))
    elif entity.takes_torque:
        yield element("span", NO_TORQUE)
