"""The verbs of a step's ``do`` list, and what each works on: a closed list."""

from __future__ import annotations

from dataclasses import dataclass

KEYWORDS = {
    "vehicle": "vehicle",
    "battery": "hazard",
    "engine": "hazard",
    "fuel-pressure": "hazard",
    "calibration": "calibration",
}
"""Objects that stand for themselves on every car, with their kind."""


KEYWORD_VERBS = {
    "battery": ("isolate", "restore"),
    "engine": ("cool", "restore"),
    "fuel-pressure": ("relieve", "restore"),
}
"""What makes these safe, and live again."""


@dataclass(frozen=True, slots=True)
class Verb:
    """A verb: the kinds of object it works on (none: anything), and what it does to them."""

    name: str
    kinds: frozenset[str]
    does: str


def _verb(name: str, kinds: str, does: str) -> Verb:
    return Verb(name, frozenset(kinds.split()), does)


_VERBS = (
    _verb("disconnect", "connection", "made → open"),
    _verb("connect", "connection", "open or new → made"),
    _verb("lift", "part", "fitted → lifted"),
    _verb("position", "part", "off or new → lifted"),
    _verb("seat", "part", "lifted → fitted"),
    _verb(
        "remove", "part fastener", "part: fitted or lifted → off; fastener: tight or loose → out"
    ),
    _verb("fit", "part fastener", "part: off, new or lifted → fitted; clip and the like: out → in"),
    _verb("discard", "part fastener connection", "off → gone for good: scrap"),
    _verb("return", "part fastener connection", "off → gone for good: the customer's box"),
    _verb("modify", "part connection", "work that cannot be undone: cut, drill, re-pin"),
    _verb("loosen", "fastener", "tight → loose"),
    _verb("start", "fastener", "out or new → started by hand"),
    _verb("tighten", "fastener", "started or loose → tight, through all stages or the one named"),
    _verb("cover", "opening", "exposed → covered"),
    _verb("uncover", "opening", "covered → exposed"),
    _verb("isolate", "hazard", "live → safe"),
    _verb("relieve", "hazard", "live → safe"),
    _verb("cool", "hazard", "live → safe"),
    _verb("restore", "hazard", "safe → live"),
    _verb("drain", "fluid", "full → empty"),
    _verb("fill", "fluid", "empty → full"),
    _verb("bleed", "fluid", "clears the air in it"),
    _verb("raise", "vehicle", "on its wheels → raised"),
    _verb("lower", "vehicle", "raised → on its wheels"),
    _verb("program", "calibration", "old → new calibration"),
    _verb("tag", "connection", "marked, so that look-alikes go back where they were"),
    _verb("inspect", "", "no change"),
    _verb("clean", "", "no change"),
    _verb("measure", "", "no change"),
    _verb("apply", "", "no change"),
    _verb("test", "", "no change; names what it proves, as in `test leaks fuel`"),
)

VERBS = {verb.name: verb for verb in _VERBS}


def verbs_for(kind: str) -> list[str]:
    """Return the verbs that work on a kind of object, in the order of the table."""
    return [verb.name for verb in _VERBS if kind in verb.kinds]
