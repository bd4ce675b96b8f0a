"""The index as files of JSON: a start, terms by their first letters, the hits of each page."""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Any

from procedures_lib.exports.find.index import TIERS
from procedures_lib.exports.find.row import KINDS
from procedures_lib.exports.find.shards import shard_name, shards_of
from procedures_lib.exports.find.terms import STOP_WORDS
from procedures_lib.exports.find.unit_words import unit_readings, unit_words

if TYPE_CHECKING:
    from procedures_lib.exports.find.index import Hit, Index

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
