"""Which fields of the page language belong to which group of changes."""

from __future__ import annotations

from procedures_lib.compare.change import Group

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
