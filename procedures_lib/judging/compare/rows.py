"""Rows of things compared: what is paired, what left its order, what came and went."""

from __future__ import annotations

import zlib
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

from procedures_lib.findings import Place
from procedures_lib.judging.compare.change import Act, Change, Group, Thing

A = TypeVar("A")

Pairs = list[tuple[int, int]]


def paired(old: Sequence[Hashable], new: Sequence[Hashable]) -> Pairs:
    """Return pairs of places at which equal things stand, the first with the first, and so on."""
    places: dict[Hashable, list[int]] = defaultdict(list)
    for n, thing in enumerate(new):
        places[thing].append(n)
    taken: dict[Hashable, int] = defaultdict(int)
    pairs = []
    for n, thing in enumerate(old):
        if taken[thing] < len(places.get(thing, ())):
            pairs.append((n, places[thing][taken[thing]]))
            taken[thing] += 1
    return pairs


def paired_in_turn(*rounds: tuple[Sequence[Hashable], Sequence[Hashable]]) -> Pairs:
    """Return the pairs by the first keys of two rows, of what is left by the second, and so on.

    Each round has a key for everything on either side; an empty key pairs nothing.
    """
    pairs: Pairs = []
    for old, new in rounds:
        left, right = unpaired(pairs, len(old), len(new))
        left, right = [n for n in left if old[n]], [n for n in right if new[n]]
        found = paired([old[n] for n in left], [new[n] for n in right])
        pairs += [(left[a], right[b]) for a, b in found]
    return pairs


def moved(pairs: Pairs, names: Callable[[tuple[int, int]], str]) -> Pairs:
    """Return the pairs that left their order: all but a longest row that goes up on both sides.

    Of several such rows the choice depends on the ``names`` of the pairs alone, so that it is the
    same when the sides are exchanged.
    """
    row = sorted(pairs)
    if all(a[1] < b[1] for a, b in pairwise(row)):
        return []
    best: list[tuple[int, int, int]] = []
    for n, pair in enumerate(row):
        weight = zlib.crc32(names(pair).encode("utf-8", "surrogateescape"))
        before = [(*best[k][:2], k) for k in range(n) if row[k][1] < pair[1]]
        count, sum_, at = max(before, default=(0, 0, -1))
        best.append((count + 1, sum_ + weight, at))
    at = max(range(len(row)), key=lambda n: best[n][:2])
    kept = set()
    while at >= 0:
        kept.add(row[at])
        at = best[at][2]
    return [pair for pair in row if pair not in kept]


def unpaired(pairs: Iterable[tuple[int, int]], old: int, new: int) -> tuple[list[int], list[int]]:
    """Return the places on either side, of so many, that are in no pair."""
    firsts, seconds = {a for a, _ in pairs}, {b for _, b in pairs}
    return [n for n in range(old) if n not in firsts], [n for n in range(new) if n not in seconds]


def mutual_best(
    old: Sequence[A], new: Sequence[A], score: Callable[[A, A], float], least: float, most: int
) -> Pairs:
    """Return the pairs of which each is the other's one best match, with at least that score.

    None where there would be more than ``most`` to score.
    """
    if len(old) * len(new) > most:
        return []
    scores = [[score(a, b) for b in new] for a in old]
    columns = list(zip(*scores, strict=True)) if scores else []
    found = []
    for n, row in enumerate(scores):
        m = _only_best(row, least)
        if m is not None and _only_best(columns[m], least) == n:
            found.append((n, m))
    return found


def _only_best(scores: Sequence[float], least: float) -> int | None:
    top = max(scores, default=0.0)
    best = [n for n, value in enumerate(scores) if value == top]
    return best[0] if top >= least and len(best) == 1 else None


@dataclass(frozen=True, slots=True)
class Entry:
    """One of a row of things, as a report tells that it came or went."""

    thing: Thing
    place: Place
    text: str


def gone_and_come(
    old: Sequence[Entry],
    new: Sequence[Entry],
    pairs: Iterable[tuple[int, int]],
    group: Group,
    topic: str,
) -> Iterator[Change]:
    """Yield the changes of what is in no pair: dropped from the old row, added to the new one."""
    left, right = unpaired(pairs, len(old), len(new))
    for each in (old[n] for n in left):
        yield Change(group, each.place, topic, each.thing, Act.DROPPED, each.text, was=each.place)
    for each in (new[n] for n in right):
        yield Change(group, each.place, topic, each.thing, Act.ADDED, "", each.text)
