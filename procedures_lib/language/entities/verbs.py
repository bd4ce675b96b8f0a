"""The verbs of a step's ``do`` list: what each works on, and one line of the list as an action."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import cache

from procedures_lib.data_tables import csv_rows
from procedures_lib.findings import Finding, Place, SlipError
from procedures_lib.language.entities.field_reader import FieldReader
from procedures_lib.language.entities.field_types import read_setting
from procedures_lib.language.entities.work import Action
from procedures_lib.language.reading.page import Scalar
from procedures_lib.spelling import choices, nearest

KEYWORDS = {
    "vehicle": "vehicle",
    "battery": "hazard",
    "engine": "hazard",
    "fuel-pressure": "hazard",
    "air-pressure": "hazard",
    "hydraulic-pressure": "hazard",
    "calibration": "calibration",
}
"""Objects that stand for themselves on every car, with their kind."""


KEYWORD_VERBS = {
    "battery": ("isolate", "restore"),
    "engine": ("cool", "restore"),
    "fuel-pressure": ("relieve", "restore"),
    "air-pressure": ("relieve", "restore"),
    "hydraulic-pressure": ("relieve", "restore"),
}
"""What makes these safe, and live again."""


@dataclass(frozen=True, slots=True)
class Verb:
    """A verb: the kinds of object it works on (none: anything), and what it does to them.

    What else asks for verbs of a sort asks for these: ``takes_off`` is the undoing of what was in
    place, ``puts_on`` the doing up of it; ``takes_new`` can be of a thing out of the box;
    ``turns_out`` and ``turns_in`` are of fasteners; ``opens`` lets out what runs in a line or a
    system; ``makes_safe`` is of a hazard; after one that ``disposes`` the thing is gone for good.
    """

    name: str
    kinds: frozenset[str]
    does: str
    takes_off: bool = False
    puts_on: bool = False
    takes_new: bool = False
    turns_out: bool = False
    turns_in: bool = False
    opens: bool = False
    makes_safe: bool = False
    disposes: bool = False

    def works_on(self, kind: str) -> bool:
        """Whether it works on this kind of object."""
        return not self.kinds or kind in self.kinds

    @property
    def about_the_car(self) -> bool:
        """Whether it is about the car as a whole: its hazards, and whether it is raised."""
        return not self.kinds.isdisjoint({"hazard", "vehicle"})


def _verb(name: str, kinds: str, does: str, **flags: bool) -> Verb:
    return Verb(name, frozenset(kinds.split()), does, **flags)


_VERBS = (
    _verb("disconnect", "connection", "made → open", takes_off=True, opens=True),
    _verb("connect", "connection", "open or new → made", puts_on=True, takes_new=True),
    _verb("lift", "part", "fitted → lifted"),
    _verb("position", "part", "off or new → lifted", takes_new=True),
    _verb("seat", "part", "lifted → fitted", puts_on=True),
    _verb(
        "remove", "part fastener",
        "part: fitted or lifted → off; fastener: tight or loose → out",
        takes_off=True, turns_out=True,
    ),
    _verb(
        "fit", "part fastener",
        "part: off, new or lifted → fitted; clip and the like: out → in",
        puts_on=True, takes_new=True, turns_in=True,
    ),
    _verb("discard", "part fastener connection", "off → gone for good: scrap", disposes=True),
    _verb("return", "part fastener connection", "off → gone for good: the customer's box",
          disposes=True),
    _verb("modify", "part connection", "work that cannot be undone: cut, drill, re-pin",
          opens=True),
    _verb("loosen", "fastener", "tight → loose", turns_out=True),
    _verb("start", "fastener", "out or new → started by hand",
          puts_on=True, takes_new=True, turns_in=True),
    _verb("tighten", "fastener", "started or loose → tight, through all stages or the one named",
          puts_on=True, takes_new=True, turns_in=True),
    _verb("support", "part", "a jack, a strap or a second pair of hands holds it"),
    _verb("release", "part", "what has held it is taken away"),
    _verb("cover", "opening", "exposed → covered"),
    _verb("uncover", "opening", "covered → exposed"),
    _verb("isolate", "hazard", "live → safe", makes_safe=True),
    _verb("relieve", "hazard", "live → safe", makes_safe=True),
    _verb("cool", "hazard", "live → safe", makes_safe=True),
    _verb("restore", "hazard", "safe → live"),
    _verb("drain", "fluid", "full → empty", opens=True),
    _verb("fill", "fluid", "empty → full"),
    _verb("bleed", "fluid", "clears the air in it", opens=True),
    _verb("top-up", "fluid", "full → full to the mark, after bleeding"),
    _verb("raise", "vehicle", "on its wheels → raised"),
    _verb("lower", "vehicle", "raised → on its wheels"),
    _verb("program", "calibration", "old → new calibration"),
    _verb("adjust", "part connection fastener",
          "brought to a measured setting: `adjust drive-belt to 10–12 mm`"),
    _verb("tag", "connection", "marked, so that look-alikes go back where they were"),
    _verb("inspect", "", "no change"),
    _verb("clean", "", "no change"),
    _verb("measure", "", "no change"),
    _verb("apply", "", "no change"),
    _verb("test", "", "no change; names what it proves, as in `test leaks fuel`"),
)  # fmt: skip

VERBS = {verb.name: verb for verb in _VERBS}


def verbs_for(kind: str) -> list[str]:
    """Return the verbs that work on a kind of object, in the order of the table."""
    return [verb.name for verb in _VERBS if kind in verb.kinds]


def verbs_that(does: Callable[[Verb], bool]) -> tuple[str, ...]:
    """Return the verbs that do something, as ``verbs_that(lambda verb: verb.turns_in)``."""
    return tuple(verb.name for verb in _VERBS if does(verb))


_COMMON = (
    "remove", "fit", "disconnect", "connect", "loosen", "start", "tighten", "inspect", "measure",
    "test", "cover", "uncover",
)  # fmt: skip
"""The verbs that steps use most, as counted in the demo and in the printed manuals of the tests."""

_ALONE = "an action is `verb object`; a comma inside `[ ]` begins a new one: write one a line"
_STAGE = re.compile(r"(.+?)\s+stage\s+(\S+)$")
_ON = re.compile(r"(.+?)\s+on\s+(\S+)$")
_TO = re.compile(r"(.+?)\s+to\s+(.+)$")


def unknown_verb(text: Scalar, page: str, kinds: Collection[str] = ()) -> Finding:
    """Return the finding of an action whose first word is no verb.

    ``kinds`` are those of the things that it names, as far as they are known: the hint has the verb
    that was misspelt, else those that the trade's word stands for, else those for these kinds.
    """
    word, _, rest = text.strip().partition(" ")
    said = f"`{word}` is no verb, in `{text}`"
    hint = _instead_of(word, kinds) if rest else _ALONE
    return Finding(Place(page, text.line), "unknown-verb", said, hint)


def _instead_of(word: str, kinds: Collection[str]) -> str:
    everyday = everyday_verbs()
    near = nearest(word, [*VERBS, *everyday])
    if near in VERBS:
        return f"did you mean `{near}`?"
    fitting = _by_use(kinds)
    usual = [f"`{name}`" for name in everyday.get(near, ()) if name in fitting]
    return f"write {' or '.join(usual)}" if usual else f"known here: {choices(fitting)}"


@cache
def everyday_verbs() -> dict[str, tuple[str, ...]]:
    """Return words of the trade that are no verbs here, with the verbs that they stand for."""
    rows = csv_rows(__package__, "everyday_verbs.csv")
    return {row["word"]: tuple(row["verbs"].split()) for row in rows}


def _by_use(kinds: Collection[str]) -> list[str]:
    """Return the verbs that work on all these kinds, the most used first.

    Those that are only for these kinds come before those that take anything.
    """
    named = [VERBS[name] for name in dict.fromkeys((*_COMMON, *VERBS))]
    fitting = [verb for verb in named if all(map(verb.works_on, kinds))]
    return [verb.name for verb in sorted(fitting, key=lambda verb: bool(kinds) > bool(verb.kinds))]


def read_action(text: Scalar, reader: FieldReader) -> Action | None:
    """Read one action; None, with a finding, when there is no verb or no object."""
    line = text.line
    word, _, rest = text.strip().partition(" ")
    if word not in VERBS:
        reader.findings.append(unknown_verb(text, reader.page))
        return None
    rest = rest.strip()
    on, stage, to = None, 0, ""
    if word == "fit" and (match := _ON.match(rest)):
        rest, on = match[1], Scalar(match[2], line)
    if word == "tighten" and (match := _STAGE.match(rest)):
        rest, stage = match[1], _stage_number(match[2], line, reader)
    if word == "adjust":
        rest, to = _setting(rest, line, reader)
    objects = tuple([Scalar(part, line) for each in rest.split(",") if (part := each.strip())])
    if not objects:
        reader.find(line, "missing-field", f"`{word}` does not say what",
                    f"write `{word}` and an id, as in `{word} front-cover`")  # fmt: skip
        return None
    return Action(
        verb=Scalar(word, line), objects=objects, place=Place(reader.page, line), on=on,
        stage=stage, to=to,
    )  # fmt: skip


def _setting(rest: str, line: int, reader: FieldReader) -> tuple[str, str]:
    """Return what is adjusted, and to what ("" where the thing's own ``setting`` says it)."""
    match = _TO.match(rest)
    if match is None:
        return rest, ""
    try:
        return match[1], read_setting(match[2])
    except SlipError as error:
        reader.find(line, error.check, error.message, error.hint)
        return match[1], match[2].strip()


def _stage_number(text: str, line: int, reader: FieldReader) -> int:
    if text.isascii() and text.isdigit() and 0 < int(text[:4]) < 100:
        return int(text[:4])
    reader.find(line, "out-of-range", f"`stage {text}` names no stage",
                "stages count from 1: `tighten cooler-bolts stage 1`")  # fmt: skip
    return 0
