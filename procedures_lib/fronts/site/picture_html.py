"""A picture as a figure: its files for phone and desk, the marks over it, the list below it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from procedures_lib.fronts.site.html import Href, applies_html, by_car, element
from procedures_lib.fronts.site.nodes import amount_html, stage_amounts
from procedures_lib.fronts.tables.picture_words import (
    counted_name,
    labels_text,
    order_note,
    picture_alternative,
    picture_caption,
)
from procedures_lib.fronts.tables.words import NO_TORQUE, stages_text
from procedures_lib.language.entities.car import Fastener
from procedures_lib.view.picture import PicturedThing, PictureView
from procedures_lib.view.picture_labels import Lettering, Placed, edge_of_ring, placed

PHONE = 358.0
"""CSS pixels: how wide a picture is on a phone of 390; the labels' places are worked out for it."""

LETTERING = Lettering(ring=9.0, high=28.0, letter=11.0, gap=4.0)
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
    stand alone. Nothing in it depends on a script, and no text stands in the picture itself.
    """
    caption = element("figcaption", escape(picture_caption(view)))
    listed = "".join(_thing(each, href) for each in view.things)
    things = element("ul", listed, class_="picture-things") if listed else ""
    tall = size[1] > size[0]
    return element(
        "figure",
        f"{_frame(view, size, sources, href)}{caption}{things}",
        class_="picture tall" if tall else "picture",
        data_picture=view.picture.id,
        data_when=str(view.picture.when),
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
    scale = PHONE / size[0]
    marks = tuple(mark for each in view.things for mark in each.marks)
    places = iter(placed(marks, scale, (PHONE, size[1] * scale), LETTERING))
    layers = "".join(
        _layer(each, [next(places) for _ in each.marks], size, href) for each in view.things
    )
    return element("div", image + layers, class_="picture-frame")


def _layer(
    pictured: PicturedThing, marks: Sequence[Placed], size: tuple[int, int], href: Href
) -> str:
    """The marks of one thing, over the whole picture, so that a page can leave them out for a car.

    The list below says the same and is what keyboard and screen reader come to.
    """
    address = _address(pictured, href)
    drawn = "".join(_mark(each, size) for each in marks)
    if address:
        drawn = "".join(
            element("a", _mark(each, size), href=address, tabindex="-1") for each in marks
        )
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" aria-hidden="true">{drawn}</svg>'
    when = str(pictured.thing.when)
    return element("div", svg, class_="picture-layer", data_thing=pictured.thing.id, data_when=when)


def _mark(each: Placed, size: tuple[int, int]) -> str:
    """A ring at the point, and its label beside it: as large on any screen."""
    across, down = 100 * each.mark.x / size[0], 100 * each.mark.y / size[1]
    dx, dy = each.label[0] - each.point[0], each.label[1] - each.point[1]
    wide, high = LETTERING.wide(each.mark.label), LETTERING.high
    x, y = edge_of_ring(each, LETTERING)
    line = f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{dx:.1f}" y2="{dy:.1f}"'
    parts = (
        f'<svg x="{across:.2f}%" y="{down:.2f}%" overflow="visible">',
        f'{line} stroke="#fff" stroke-width="5"/>{line} stroke="#000" stroke-width="2"/>',
        f'<circle cx="0" cy="0" r="{LETTERING.ring:g}" fill="#fff" fill-opacity="0.35"'
        ' stroke="#fff" stroke-width="5"/>',
        f'<circle cx="0" cy="0" r="{LETTERING.ring:g}" fill="none" stroke="#000"'
        ' stroke-width="2.5"/>',
        f'<rect x="{dx - wide / 2:.1f}" y="{dy - high / 2:.1f}" width="{wide:.1f}"'
        f' height="{high:g}" rx="6" fill="#000" stroke="#fff" stroke-width="2"/>',
        f'<text x="{dx:.1f}" y="{dy + _SIZE * 0.36:.1f}" font-size="{_SIZE}" font-weight="bold"'
        f' text-anchor="middle" fill="#fff">{escape(each.mark.label)}</text></svg>',
    )
    return "".join(parts)


def _address(pictured: PicturedThing, href: Href) -> str:
    kind = "fastener" if isinstance(pictured.thing.entity, Fastener) else "definition"
    return href(f"{kind}:{pictured.thing.id}")


def _thing(pictured: PicturedThing, href: Href) -> str:
    """A line of the list: the label, the name that opens the joint, how tight it has to be."""
    label = element("span", escape(labels_text(pictured)), class_="picture-label")
    name, address = element("span", escape(counted_name(pictured))), _address(pictured, href)
    line = element("a", label + name, href=address) if address else label + name
    when = str(pictured.thing.when)
    tight = "".join(_tight(pictured.thing.entity))
    note = order_note(pictured)
    more = element("span", escape(note), class_="picture-note") if note else ""
    return element("li", line + tight + applies_html(when) + more, data_when=when)


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
