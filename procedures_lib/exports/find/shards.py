"""Terms shared out over small files by how they begin, so that one query needs few of them."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

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
