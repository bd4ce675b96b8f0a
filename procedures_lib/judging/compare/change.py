"""One difference between two states of a manual, its group; rows of things and what is paired."""

from __future__ import annotations

import enum
import zlib
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TypeVar

from procedures_lib.findings import Finding, Place


class Group(enum.IntEnum):
    """What a change is about, in the order in which a reviewer reads: safety first."""

    JOINTS = 1
    SAFETY = 2
    PAGES = 3
    NUMBERS = 4
    BOX = 5
    CARS = 6
    THINGS = 7
    WORK = 8
    PAPERS = 9
    PROSE = 10

    @property
    def heading(self) -> str:
        """The group's heading in a report."""
        return _HEADINGS[self]

    @property
    def touches_safety(self) -> bool:
        """Whether a mistake in such a change can hurt someone."""
        return self in {Group.JOINTS, Group.SAFETY}


_HEADINGS = {
    Group.JOINTS: "Torques, stages and orders",
    Group.SAFETY: "Other changes that touch safety",
    Group.PAGES: "Pages and renames",
    Group.NUMBERS: "Other numbers and hardware",
    Group.BOX: "In the box",
    Group.CARS: "For which cars",
    Group.THINGS: "Parts and how they hang together",
    Group.WORK: "Steps of work",
    Group.PAPERS: "Revisions, sources and names",
    Group.PROSE: "Prose",
}


class Act(enum.StrEnum):
    """What became of a thing or of one of its values."""

    CHANGED = "changed"
    ADDED = "added"
    DROPPED = "dropped"
    MOVED = "moved"
    RENAMED = "renamed"
    REWORDED = "re-worded"


@dataclass(frozen=True, slots=True, order=True)
class Thing:
    """What a change is about: its kind (fastener, step, page, …), id and name, "" for none."""

    kind: str
    id: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True, order=True)
class Use:
    """A procedure that works on a thing, and the numbers of the steps that do."""

    procedure: str
    steps: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, order=True)
class Change:
    """One difference. ``topic`` is what changed: torque, count, tools, …

    ``old`` and ``new`` are in the writer's figures, "" where there was or is nothing; ``note`` says
    what they do not, such as the change in per cent. ``place`` is where it stands in the new state,
    or in the old one if ``act`` is ``dropped``; ``was`` is where it stood in the old state.
    ``used`` and ``kits`` tell who works on the thing.
    """

    group: Group
    place: Place
    topic: str
    thing: Thing
    act: Act
    old: str = ""
    new: str = ""
    note: str = ""
    was: Place | None = field(default=None, compare=False)
    used: tuple[Use, ...] = ()
    kits: tuple[str, ...] = ()
    same: bool = False
    """Whether both texts say the same amount, in other words or another unit."""


@dataclass(frozen=True, slots=True, order=True)
class Unread:
    """What could not be compared: ``side`` is ``old`` or ``new``, ``what`` a page or a thing."""

    place: Place
    side: str
    what: str
    why: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """All differences, sorted; pages of which only the prose differs; what could not be read.

    ``findings`` are what a reviewer has to ask about: :mod:`procedures_lib.judging.compare.review`.
    """

    changes: tuple[Change, ...] = ()
    prose_only: tuple[str, ...] = ()
    unread: tuple[Unread, ...] = ()
    findings: tuple[Finding, ...] = ()

    def of(self, group: Group) -> tuple[Change, ...]:
        """Return the changes of one group."""
        return tuple(change for change in self.changes if change.group is group)


JOINT_TOPICS = frozenset({"torque", "stages", "angle", "order"})
"""What the torque of a joint is made of: its revision and source are asked for."""

_TOPICS = {
    Group.JOINTS: "tighten torque stages angle order",
    Group.SAFETY: "reuse condition thread class into-material into-engagement grip turns at "
    "recheck carries hazards hazard signal harm avoid called-by made-safe-by licensed protection "
    "about text bleed mass needs-support reached-from setting ends-with with",
    Group.NUMBERS: "count head into-part positions front adapter reach quantity spec drain fill "
    "number correction band smoothing units date",
    Group.BOX: "returns needs-fuel needs-calibration claims-power claims-torque "
    "emissions-label emissions-note",
    Group.CARS: "when years vehicle kit fits-vehicle fits-years fits-when",
    Group.THINGS: "held-by behind on between clamp exposed-by dirt-sensitive alike kind "
    "hidden-by closes replaces fixed",
    Group.WORK: "begins-with procedures do tools supplies people time",
    Group.PAPERS: "name title note revision reviewed source handover procedure id",
    Group.PROSE: "finds",
}
_GROUP_OF = {topic: group for group, topics in _TOPICS.items() for topic in topics.split()}
_BY_BEGINNING = {"options": Group.CARS, "conditions": Group.NUMBERS, "dyno": Group.NUMBERS,
                 "engine": Group.NUMBERS, "air": Group.NUMBERS, "contents": Group.BOX,
                 "before": Group.NUMBERS, "after": Group.NUMBERS}  # fmt: skip
_OF_A_KIND = {
    ("fastener", "count"): Group.SAFETY,
    ("hazard", "tools"): Group.SAFETY,
    ("derived", "when"): Group.PAPERS,
    ("derived", "after"): Group.PAPERS,
}
"""How many fasteners hold a joint touches safety, how many plugs there are does not."""


def group_of(topic: str, kind: str = "") -> Group:
    """Return the group of a topic: a field, by the name under which :mod:`.side` gives it.

    ``kind`` is that of the thing. KeyError for a field that no group has: give it one above.
    """
    name = topic.replace(" ", "-")
    if (kind, name) in _OF_A_KIND:
        return _OF_A_KIND[kind, name]
    return _BY_BEGINNING.get(name.partition("-")[0]) or _GROUP_OF[name]


def act_of(old: str, new: str) -> Act:
    """Return what became of something that has these texts, "" where there is nothing."""
    if old and new:
        return Act.CHANGED
    return Act.ADDED if new else Act.DROPPED


def text_change(
    group: Group,
    topic: str,
    thing: Thing,
    texts: tuple[str, str],
    places: tuple[Place, Place],
    act: Act | None = None,
) -> Iterator[Change]:
    """Yield the change of one text, of which the old and the new place are given, if it differs."""
    old, new = texts
    if old != new:
        yield Change(
            group, places[1], topic, thing, act or act_of(old, new), old, new, was=places[0]
        )


# -- rows of things ----------------------------------------------------------------------------

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
