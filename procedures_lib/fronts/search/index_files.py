"""The index as files of JSON: a start, terms by their first letters, the hits of each page."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from procedures_lib.fronts.search.index import KINDS, TIERS, Hit, Index
from procedures_lib.fronts.search.terms import STOP_WORDS, unit_readings, unit_words

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


FORMAT = 2
FOLDER = "find"
HINTS = {
    "torque": "f", "torques": "f", "tighten": "f", "tightening": "f", "part": "p", "number": "p",
    "tool": "t", "tools": "t", "step": "s", "steps": "s",
}  # fmt: skip
"""Words that say which kind of row is wanted, beside what they say otherwise."""
_SHORTEST_WORD = 4


def index_files(index: Index) -> dict[str, str]:
    """Return the text of every file of the index by its path from the top of the site.

    ``find/start.json`` is read first. ``find/files.json`` lists all others with the digests of
    their texts: what has to be kept to search without a network, and what has changed.
    """
    shards = shards_of(index.terms)
    files = {f"{FOLDER}/start.json": _json(_start(index, list(shards)))}
    files[f"{FOLDER}/words.json"] = _json(_words(index))
    for prefix, text in shards.items():
        files[f"{FOLDER}/terms/t-{shard_name(prefix)}.json"] = text + "\n"
    for n, page in enumerate(index.pages):
        rows = [_hit_value(hit) for hit in index.hits[n]]
        value = {"rows": rows, "guests": list(index.guests[n])}
        files[f"{FOLDER}/rows/{page.name}.json"] = _json(value)
    digests = {path: _digest(text) for path, text in sorted(files.items())}
    files[f"{FOLDER}/files.json"] = _json({"format": FORMAT, "files": digests})
    return files


def _start(index: Index, prefixes: list[str]) -> dict[str, Any]:
    cars = sorted({page.car for page in index.pages if page.car})
    number = {car: n for n, car in enumerate(cars)}
    return {
        "format": FORMAT,
        "stride": index.stride,
        "kinds": KINDS,
        "hints": HINTS,
        "stop": sorted(STOP_WORDS),
        "units": unit_words(),
        "readings": unit_readings(),
        "shards": {prefix: shard_name(prefix) for prefix in prefixes},
        "cars": cars,
        "pages": [
            [p.name, p.uri, p.title, TIERS.index(p.tier), number.get(p.car, -1)]
            for p in index.pages
        ],
    }


def _words(index: Index) -> list[str]:
    """The words that a misspelt one may have meant: letters alone."""
    return sorted(term for term in index.terms if term.isalpha() and len(term) >= _SHORTEST_WORD)


def _hit_value(hit: Hit) -> list[Any]:
    """Return ``[kind, name, shown, when, places]``; places are anchors with their pages."""
    by_anchor: dict[str, list[int]] = {}
    for page, anchor in hit.places:
        by_anchor.setdefault(anchor, []).append(page)
    row = hit.row
    return [row.kind, row.name, row.shown, row.when, list(map(list, by_anchor.items()))]


def _digest(text: str) -> str:
    return hashlib.blake2b(text.encode(), digest_size=12).hexdigest()


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")) + "\n"
