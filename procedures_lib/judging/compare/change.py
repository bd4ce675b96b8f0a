"""One difference between two states of a manual, its group, and what it can do."""

from __future__ import annotations

import enum
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

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


class Harm(enum.IntEnum):
    """What a change can do if it is wrong, the worst first."""

    INJURES = 1
    DAMAGES = 2
    WASTES = 3

    @property
    def heading(self) -> str:
        """The heading in a report above what can do that."""
        return _HARM_HEADINGS[self]


_HARM_HEADINGS = {
    Harm.INJURES: "Can injure someone, or lose the car",
    Harm.DAMAGES: "Can damage the car",
    Harm.WASTES: "Can waste time or goods",
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
    ``used`` and ``kits`` tell who works on the thing. What it can do, from ``harm`` on, is judged
    by :mod:`procedures_lib.judging.compare.harm` when all changes are known.
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
    harm: Harm = Harm.DAMAGES
    unjudged: bool = False
    """Whether no rule can tell that it is wrong: a sentence, or a number changed all over."""
    turned: bool = False
    """Whether a sentence says another thing: not, left, before, a number came, went or moved."""
    source: str = ""
    """What to hold it against."""

    @property
    def comes_first(self) -> bool:
        """Whether a reviewer reads it before all others: no rule judges it, and it does harm."""
        if not self.unjudged or self.harm is Harm.WASTES:
            return False
        if self.group is not Group.PROSE:
            return True
        return self.turned and (self.harm is Harm.INJURES or self.act is Act.REWORDED)

    @property
    def rank(self) -> tuple[Any, ...]:
        """The order of a review: what no rule can judge, then by what a change can do."""
        return (not self.comes_first, self.harm, not self.unjudged, not self.turned, self)


@dataclass(frozen=True, slots=True, order=True)
class Unread:
    """What could not be compared: ``side`` is ``old`` or ``new``, ``what`` a page or a thing."""

    place: Place
    side: str
    what: str
    why: str


@dataclass(frozen=True, slots=True, order=True)
class Stale:
    """A procedure whose printed card says something else by now, and the jobs that it is in.

    ``revision`` is the letter that stands on the card.
    """

    procedure: str
    revision: str = ""
    jobs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """All differences, in the order of a review; pages of which only the prose differs; what could
    not be read.

    ``findings`` are what a reviewer has to ask about: :mod:`procedures_lib.judging.compare.review`;
    ``stale`` are the printed cards that are out of date by it.
    """

    changes: tuple[Change, ...] = ()
    prose_only: tuple[str, ...] = ()
    unread: tuple[Unread, ...] = ()
    findings: tuple[Finding, ...] = ()
    stale: tuple[Stale, ...] = ()

    def of(self, group: Group) -> tuple[Change, ...]:
        """Return the changes of one group."""
        return tuple(change for change in self.changes if change.group is group)


JOINT_TOPICS = frozenset({"torque", "stages", "angle", "order"})
"""What the torque of a joint is made of: its revision and source are asked for."""

_TOPICS = {
    Group.JOINTS: "tighten torque stages angle order",
    Group.SAFETY: "reuse condition thread class into-material into-engagement grip turns at "
    "recheck carries hazards hazard signal harm avoid called-by made-safe-by licensed protection "
    "about text bleed mass needs-support reached-from setting ends-with with quantity spec drain "
    "fill needs-fuel",
    Group.NUMBERS: "count head into-part positions front adapter reach "
    "number correction band smoothing units date",
    Group.BOX: "returns needs-calibration claims-power claims-torque "
    "emissions-label emissions-note",
    Group.CARS: "when years vehicle kit fits-vehicle fits-years fits-when",
    Group.THINGS: "held-by behind on between clamp exposed-by dirt-sensitive alike kind "
    "hidden-by closes replaces fixed file seen",
    Group.WORK: "begins-with procedures do tools supplies people time",
    Group.PAPERS: "name title note revision reviewed source handover procedure id",
    Group.PROSE: "finds",
}
_GROUP_OF = {topic: group for group, topics in _TOPICS.items() for topic in topics.split()}
_BY_BEGINNING = {"options": Group.CARS, "conditions": Group.NUMBERS, "dyno": Group.NUMBERS,
                 "engine": Group.NUMBERS, "air": Group.NUMBERS, "contents": Group.BOX,
                 "before": Group.NUMBERS, "after": Group.NUMBERS,
                 "shows": Group.THINGS}  # fmt: skip
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
