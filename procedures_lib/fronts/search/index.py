"""What can be found on all pages: hits with their places, and the terms that lead to them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

KINDS = {
    "f": "Fastener",
    "p": "Part",
    "c": "Connection",
    "l": "Fluid",
    "t": "Tool",
    "u": "Supply",
    "s": "Step",
    "v": "Car",
    "k": "Kit",
    "g": "Page",
    "h": "Section",
}
"""The kinds of row, by the letter that stands for them in the files."""


class Row(NamedTuple):
    """A row as one page shows it.

    ``key`` is (home page without its ending, what it is there): rows of several pages with one key
    are one hit, which leads to any of them. ``shown`` is the number or text wanted of it.
    ``target`` is its place on this page, as ``kind:id`` ("" for the top). ``strong`` are the terms
    of what it is called and measured, ``weak`` those of what is said of it.
    """

    kind: str
    key: tuple[str, str]
    name: str
    target: str
    shown: str = ""
    when: str = ""
    strong: tuple[str, ...] = ()
    weak: tuple[str, ...] = ()


def key_of(page: str, name: str) -> tuple[str, str]:
    """Return the key of what stands on a page under a name."""
    return page.removesuffix(".md"), name


TIERS = ("procedure", "car", "other")
"""Where a hit is shown: on a procedure's page; on a car's, kit's, job's …; elsewhere."""


@dataclass(frozen=True, slots=True)
class FoundPage:
    """One page of the site: ``uri`` is its address from the top, ``tier`` one of ``TIERS``.

    ``rows`` are its rows, each with its anchor on the page ("" for the top) as its target. ``car``
    is the id of the vehicle that it is about, "" for none.
    """

    name: str
    uri: str
    title: str
    tier: str
    rows: Sequence[Row] = ()
    car: str = ""


@dataclass(slots=True)
class Hit:
    """What one key stands for on all pages: ``places`` are (page, anchor), procedures first."""

    row: Row
    places: list[tuple[int, str]] = field(default_factory=list)
    strong: set[str] = field(default_factory=set)
    weak: set[str] = field(default_factory=set)

    def add(self, row: Row, page: int) -> None:
        """Take in the same thing on another page; the first place on each page counts."""
        if not self.places or self.places[-1][0] != page:
            self.places.append((page, row.target))
        self.strong.update(row.strong)
        self.weak.update(row.weak)


@dataclass(frozen=True, slots=True)
class Index:
    """An index: ``pages`` in the order of their tiers, the hits of each, the terms.

    A hit's id is ``page * stride + its number on its home page``. ``terms`` maps a term to ids by
    group: the letter of the kind, the number of the tier, ``s`` (in its name and measures) or
    ``w`` (in what is said of it). ``guests`` are the ids that a page shows and another is home to.
    """

    pages: tuple[FoundPage, ...]
    hits: tuple[tuple[Hit, ...], ...]
    guests: tuple[tuple[int, ...], ...]
    stride: int
    terms: Mapping[str, Mapping[str, list[int]]]


def make_index(pages: Iterable[FoundPage]) -> Index:
    """Make the index of some pages; it does not depend on the order they come in."""
    ordered = tuple(sorted(pages, key=lambda page: (TIERS.index(page.tier), page.name)))
    homes = _gathered(ordered)
    stride = 1 << max((len(hits) - 1).bit_length() for hits in homes) if homes else 1
    guests: list[list[int]] = [[] for _ in ordered]
    terms: defaultdict[str, defaultdict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for home, hits in enumerate(homes):
        for number, hit in enumerate(hits):
            one = home * stride + number
            tier = min(TIERS.index(ordered[page].tier) for page, _ in hit.places)
            _enter(terms, one, f"{hit.row.kind}{tier}", hit)
            for page, _ in hit.places:
                if page != home:
                    guests[page].append(one)
    return Index(ordered, homes, tuple(map(tuple, guests)), stride, terms)


def _gathered(ordered: Sequence[FoundPage]) -> tuple[tuple[Hit, ...], ...]:
    """The hits of each home page, in the order in which pages show them first."""
    at = {page.name: n for n, page in enumerate(ordered)}
    found: list[dict[str, Hit]] = [{} for _ in ordered]
    for n, page in enumerate(ordered):
        for row in page.rows:
            home, name = row.key
            hits = found[at.get(home, n)]
            hit = hits.setdefault(name if home in at else f"{home} {name}", Hit(row))
            hit.add(row, n)
    return tuple(tuple(hits.values()) for hits in found)


def _enter(
    terms: defaultdict[str, defaultdict[str, list[int]]], one: int, group: str, hit: Hit
) -> None:
    for term in hit.strong:
        terms[term][f"{group}s"].append(one)
    for term in hit.weak - hit.strong:
        terms[term][f"{group}w"].append(one)
