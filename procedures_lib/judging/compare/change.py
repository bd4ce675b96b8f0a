"""One difference between two states of a manual: its group, and all of them as values that sort."""

from __future__ import annotations

import enum
from dataclasses import dataclass, field

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

_FIELDS = {
    Group.JOINTS: "torque stages angle order",
    Group.SAFETY: "reuse condition thread class into-material into-engagement grip turns at "
    "recheck carries hazards signal harm avoid called-by made-safe-by licensed bleed",
    Group.NUMBERS: "count head into-part positions front adapter reach quantity spec drain fill "
    "number qty spare correction band smoothing units date",
    Group.BOX: "contents returns needs-fuel needs-calibration claims-power claims-torque "
    "emissions-label emissions-note",
    Group.CARS: "when years vehicle kit fits-vehicle fits-years fits-when",
    Group.THINGS: "held-by behind on between clamp exposed-by dirt-sensitive alike kind "
    "replaces fixed",
    Group.WORK: "begins-with procedures tools supplies people time",
    Group.PAPERS: "name title note revision reviewed source handover procedure id",
}
_GROUP_OF = {field: group for group, fields in _FIELDS.items() for field in fields.split()}
_BY_BEGINNING = {"options": Group.CARS, "conditions": Group.NUMBERS, "dyno": Group.NUMBERS,
                 "engine": Group.NUMBERS, "air": Group.NUMBERS}  # fmt: skip


def group_of(field: str, kind: str = "") -> Group:
    """Return the group of a field, by the name under which :mod:`.said` gives it.

    ``kind`` is that of the thing: how many fasteners hold a joint touches safety, how many plugs
    there are does not.
    """
    name = field.replace(" ", "-")
    if (kind, name) == ("fastener", "count"):
        return Group.SAFETY
    known = _GROUP_OF.get(name) or _BY_BEGINNING.get(name.partition("-")[0])
    return known or Group.PAPERS
