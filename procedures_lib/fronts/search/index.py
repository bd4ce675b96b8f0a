"""The search index: hits with their places, the terms that lead to them, and its files of JSON."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from procedures_lib.fronts.search.amounts import Amount, amount_tables
from procedures_lib.fronts.search.asking import asking_tables
from procedures_lib.fronts.search.terms import unit_readings, unit_words

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
    of what it is called and measured, ``weak`` those of what is said of it. ``facts`` are pairs:
    what answers a question (:data:`procedures_lib.fronts.search.asking.ANSWERS`), other words for
    it under ``also``, what takes its place under ``replaced``. A row with ``tool`` says where a
    list of tools has what the fastener takes, and is no place of the fastener. ``amounts`` are
    those by which it is found in any unit.
    """

    kind: str
    key: tuple[str, str]
    name: str
    target: str
    shown: str = ""
    when: str = ""
    strong: tuple[str, ...] = ()
    weak: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    tool: str = ""
    amounts: tuple[Amount, ...] = ()


def key_of(page: str, name: str) -> tuple[str, str]:
    """Return the key of what stands on a page under a name."""
    return page.removesuffix(".md"), name


TIERS = ("procedure", "car", "other")
"""Where a hit is shown: on a procedure's page; on a car's, kit's, job's …; elsewhere."""


@dataclass(frozen=True, slots=True)
class FoundPage:
    """One page of the site: ``uri`` is its address from the top, ``tier`` one of ``TIERS``.

    ``rows`` are its rows, each with its anchor on the page ("" for the top) as its target. ``car``
    is the id of the vehicle that it is about, "" for none, and ``only`` the cars of it that the
    page is for, "" for all.
    """

    name: str
    uri: str
    title: str
    tier: str
    rows: Sequence[Row] = ()
    car: str = ""
    only: str = ""


@dataclass(slots=True)
class Hit:
    """What one key stands for on all pages: ``places`` are (page, anchor), procedures first.

    ``tools`` are the places of its socket in lists of tools.
    """

    row: Row
    places: list[tuple[int, str]] = field(default_factory=list)
    tools: list[tuple[int, str]] = field(default_factory=list)
    strong: set[str] = field(default_factory=set)
    weak: set[str] = field(default_factory=set)

    def add(self, row: Row, page: int) -> None:
        """Take in the same thing on another page; the first place on each page counts."""
        places, at = (self.tools, row.tool) if row.tool else (self.places, row.target)
        if not places or places[-1][0] != page:
            places.append((page, at))
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
    return tuple(tuple(hit for hit in hits.values() if hit.places) for hits in found)


def _enter(
    terms: defaultdict[str, defaultdict[str, list[int]]], one: int, group: str, hit: Hit
) -> None:
    for term in hit.strong:
        terms[term][f"{group}s"].append(one)
    for term in hit.weak - hit.strong:
        terms[term][f"{group}w"].append(one)


Postings = Mapping[str, Sequence[int]]


MOST_CHARACTERS = 40_000
_LONGEST_PREFIX = 8


def steps_between(ids: Sequence[int]) -> list[int]:
    """Return rising ids as the first and the differences: small numbers that pack well."""
    return [one - before for before, one in zip((0, *ids), ids, strict=False)]


def term_text(postings: Postings) -> str:
    """Return the JSON of one term's ids, by group."""
    plain = {group: steps_between(postings[group]) for group in sorted(postings)}
    return json.dumps(plain, separators=(",", ":"))


def shards_of(terms: Mapping[str, Postings]) -> dict[str, str]:
    """Return the JSON of each shard by the letters that its terms begin with.

    A term is in the shard with the longest such beginning. A shard is split while it holds more
    than ``MOST_CHARACTERS`` and more than one term.
    """
    texts = [(term, f"{json.dumps(term)}:{term_text(terms[term])}") for term in sorted(terms)]
    return {
        prefix: "{" + ",\n".join(lines) + "}"
        for first in dict.fromkeys(term[:1] for term, _ in texts)
        for prefix, lines in _split(first, [one for one in texts if one[0].startswith(first)])
    }


def _split(prefix: str, texts: list[tuple[str, str]]) -> Iterator[tuple[str, list[str]]]:
    """Yield a beginning and the lines below it, split as far as need be."""
    size = sum(len(text) for _, text in texts)
    if size <= MOST_CHARACTERS or len(texts) == 1 or len(prefix) >= _LONGEST_PREFIX:
        yield prefix, [text for _, text in texts]
        return
    groups: dict[str, list[tuple[str, str]]] = {}
    for term, text in texts:
        groups.setdefault(term[: len(prefix) + 1], []).append((term, text))
    for longer, group in groups.items():
        if longer == prefix:
            yield prefix, [text for _, text in group]
        else:
            yield from _split(longer, group)


def shard_name(prefix: str) -> str:
    """Return a file's name for a beginning: letters and digits as they are, others by number."""
    return "".join(
        sign if sign.isascii() and sign.isalnum() else f"_{ord(sign):x}_" for sign in prefix
    )


FORMAT = 5
FOLDER = "find"
PAGES_A_FILE = 16
"""How many pages, one after the other, share a file of rows: a device that keeps them asks less."""
_SHORTEST_WORD = 4


def index_files(index: Index, folder: str = FOLDER) -> dict[str, str]:
    """Return the text of every file of the index by its path from the top of the site.

    ``find/start.json`` is read first. ``find/files.json`` lists all others with the digests of
    their texts: what has to be kept to search without a network, and what has changed.
    """
    shards = shards_of(index.terms)
    files = {f"{folder}/start.json": _json({"part": folder, **_start(index, list(shards))})}
    files[f"{folder}/words.json"] = _json(_words(index))
    rows = (hit.row for hits in index.hits for hit in hits)
    files[f"{folder}/amounts.json"] = _json(amount_tables(a for row in rows for a in row.amounts))
    for prefix, text in shards.items():
        files[f"{folder}/terms/t-{shard_name(prefix)}.json"] = text + "\n"
    for first in range(0, len(index.pages), PAGES_A_FILE):
        pages = range(first, min(first + PAGES_A_FILE, len(index.pages)))
        text = _json([_page_value(index, page) for page in pages])
        files[f"{folder}/rows/{first // PAGES_A_FILE}.json"] = text
    digests = {path: _digest(text) for path, text in sorted(files.items())}
    files[f"{folder}/files.json"] = _json({"format": FORMAT, "files": digests})
    return files


def _start(index: Index, prefixes: list[str]) -> dict[str, Any]:
    cars = sorted({page.car for page in index.pages if page.car})
    number = {car: n for n, car in enumerate(cars)}
    return {
        "format": FORMAT,
        "stride": index.stride,
        "pagesAFile": PAGES_A_FILE,
        "kinds": KINDS,
        **asking_tables(),
        "units": unit_words(),
        "readings": unit_readings(),
        "shards": {prefix: shard_name(prefix) for prefix in prefixes},
        "cars": cars,
        "pages": [_entry(page, number.get(page.car, -1)) for page in index.pages],
    }


def _entry(page: FoundPage, car: int) -> list[Any]:
    """Return ``[name, uri, title, tier, car]`` of a page, and whom it is for if not for all."""
    found = [page.name, page.uri, page.title, TIERS.index(page.tier), car]
    return [*found, page.only] if page.only else found


def _words(index: Index) -> list[str]:
    """The words that a misspelt one may have meant: letters alone."""
    return sorted(term for term in index.terms if term.isalpha() and len(term) >= _SHORTEST_WORD)


def _page_value(index: Index, page: int) -> dict[str, Any]:
    rows = [_hit_value(hit) for hit in index.hits[page]]
    return {"rows": rows, "guests": list(index.guests[page])}


def _hit_value(hit: Hit) -> list[Any]:
    """Return ``[kind, name, shown, when, places]``, facts and places of tools where there are any.

    Places are anchors with their pages.
    """
    row = hit.row
    value = [row.kind, row.name, row.shown, row.when, _by_anchor(hit.places)]
    if hit.tools:
        return [*value, dict(row.facts), _by_anchor(hit.tools)]
    return [*value, dict(row.facts)] if row.facts else value


def _by_anchor(places: Iterable[tuple[int, str]]) -> list[list[Any]]:
    found: dict[str, list[int]] = {}
    for page, anchor in places:
        found.setdefault(anchor, []).append(page)
    return list(map(list, found.items()))


def _digest(text: str) -> str:
    return hashlib.blake2b(text.encode(), digest_size=12).hexdigest()


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")) + "\n"
