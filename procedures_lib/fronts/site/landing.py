"""Landing pages: cards that lead to cars, kits, procedures, visits, common steps and results.

A list of contents that is shown and names only such pages becomes cards, and so do the procedures
of the first page; both take the classes of sphinx-design. A long list stays a list: it is read
faster, and its cards would have to be compared with the manual at every build.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from itertools import groupby
from typing import TYPE_CHECKING

from docutils import nodes
from sphinx import addnodes

from procedures_lib.fronts.site.cards import GRAVE, Card, Line, card_of, docname_of, session_on
from procedures_lib.fronts.site.html import applies_html, element, list_html
from procedures_lib.fronts.site.nodes import Fragment, mark
from procedures_lib.fronts.site.rebuild import shown_on
from procedures_lib.fronts.site.state import Site
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.work import Job, Procedure
from procedures_lib.manual import Manual

if TYPE_CHECKING:
    from sphinx.application import Sphinx


MOST = 60
"""The most cards on a page."""


def cards_html(cards: Iterable[Card]) -> str:
    """Return cards side by side, as many in a row as there is room for."""
    columns = "sd-row-cols-1 sd-row-cols-sm-1 sd-row-cols-md-2 sd-row-cols-lg-3"
    items = "".join(map(_item, cards))
    row = element("ul", items, class_=f"sd-row {columns} sd-g-2 cards", role="list")
    return element("div", row, class_="sd-container-fluid sd-mb-4")


def _item(card: Card) -> str:
    title = element("div", _link(card), class_="sd-card-title sd-font-weight-bold")
    body = element("div", title + "".join(map(_line, card.lines)), class_="sd-card-body")
    inner = element("div", body, class_="sd-card sd-w-100")
    return element("li", inner, class_="sd-col sd-d-flex-row")


def _link(card: Card) -> str:
    """The link to a page; that to a procedure tells the scripts which cars it is for."""
    told = {"data_procedure": card.name, "data_when": card.only}
    told = told if card.kind == Procedure.KIND else {}
    address = mark(card.page, "")
    link = element("a", escape(card.title), href=address, class_=f"to-{card.kind}", **told)
    return link + applies_html(card.only)


def _line(line: Line) -> str:
    text = _leading(line) if line.page else escape(line.text)
    css = f"card-label card-{line.label.lower()}" if line.label in GRAVE else "card-label"
    label = element("span", escape(line.label), class_=css) + " " if line.label else ""
    return element("p", label + text, class_="sd-card-text")


def _leading(line: Line) -> str:
    return element("a", escape(line.text), href=mark(line.page, ""))


def finder_html(manual: Manual) -> tuple[str, tuple[str, ...]]:
    """Return one fold a car, with its procedures, jobs and the car itself, and the pages shown.

    Of pages shown as cards all that these say has to be compared at the next build.
    """
    pages = [docname_of(head) for kind in (Procedure, Job) for head in manual.heads(kind)]
    as_cards = len(pages) <= MOST
    cards = [card for page in pages if (card := card_of(manual, page, full=as_cards))]
    folds = (_fold(vehicle, cards, as_cards) for vehicle in manual.heads(Vehicle))
    return element("div", "".join(folds), class_="cars"), tuple(pages) if as_cards else ()


def _fold(vehicle: Vehicle, cards: Iterable[Card], as_cards: bool) -> str:
    years = f" {vehicle.years}" if vehicle.years else ""
    own = [card for card in cards if card.car == vehicle.id]
    inner = (cards_html(own) if own else "") if as_cards else list_html(map(_listed, own))
    words = "The car itself: parts, fasteners, fluids, and which options yours has"
    car = element("a", words, href=mark(docname_of(vehicle), ""), class_="to-vehicle")
    summary = element("summary", escape(f"{vehicle.name}{years}"))
    return element(
        "details", summary + inner + element("p", car), class_="car", data_vehicle=vehicle.id
    )


def _listed(card: Card) -> str:
    others = (each for each in card.lines if each.page)
    return " ".join((_link(card), *(_leading(each) for each in others)))


def grouped_html(cards: Sequence[Card]) -> str:
    """Return cards by their car, below its name where they are about several."""
    if cards[0].kind == Vehicle.KIND:
        return cards_html(cards)
    groups = [
        (car, list(group))
        for car, group in groupby(
            sorted(cards, key=lambda card: card.car_name), key=lambda card: card.car
        )
    ]
    return "".join(
        element(
            "section",
            (element("h2", escape(own[0].car_name or "Any car")) if len(groups) > 1 else "")
            + cards_html(own),
            data_vehicle=car,
        )
        for car, own in groups
    )


def add_landing(app: Sphinx, site: Site) -> None:
    """Have lists of contents that name only pages with cards shown as these."""

    def show(app: Sphinx, doctree: nodes.document) -> None:
        shown = shown_on(app.env, site, app.env.docname)
        for node in list(doctree.findall(addnodes.toctree)):
            pages = [] if node.get("hidden") else [str(page) for _, page in node["entries"]]
            cards = [card for page in pages if (card := card_of(site.manual, page))]
            if not cards or len(cards) < len(pages) or len(pages) > MOST:
                continue
            for page in pages:
                shown.note("card", page)
                if session := session_on(site.manual, page):
                    shown.note("session", session)
            plain = "\n".join(card.title for card in cards)
            place = node.parent if isinstance(node.parent, nodes.compound) else node
            node["hidden"] = True
            place.parent.insert(
                place.parent.index(place), Fragment("", html=grouped_html(cards), plain=plain)
            )

    app.connect("doctree-read", show)
