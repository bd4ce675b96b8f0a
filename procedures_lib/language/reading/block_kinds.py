"""The names a block may have, what its body holds, the options above it: a closed list."""

from __future__ import annotations

import enum
import re
from dataclasses import dataclass
from typing import NamedTuple


class Body(enum.StrEnum):
    """What stands between the fences of a block."""

    DATA = "data"  # YAML, read into entities
    TEXT = "text"  # MyST, with options above it
    DERIVED = "derived"  # options only: the library fills it
    SAMPLE = "sample"  # a whole page shown as text, and checked


@dataclass(frozen=True, slots=True)
class BlockKind:
    """One kind of block: ``argument`` says what stands after the name ("" for nothing)."""

    name: str
    body: Body
    argument: str
    purpose: str
    argument_needed: bool = True


def _data(name: str, argument: str, purpose: str) -> BlockKind:
    return BlockKind(name, Body.DATA, argument, purpose, bool(argument))


def _derived(name: str, purpose: str, argument: str = "procedure id") -> BlockKind:
    return BlockKind(name, Body.DERIVED, argument, purpose, argument not in {"", "procedure id"})


_KINDS = (
    _data("vehicle", "id", "the car as it arrives, and what differs from car to car"),
    _data("kit", "id", "what is in the box, what it replaces, needs and claims"),
    _data("procedure", "id", "the head of an install procedure"),
    _data("common", "id", "the head of steps that many procedures repeat"),
    _data("dyno-session", "id", "pulls before and after, with weather and conditions"),
    _data("job", "id", "several procedures done on one car in one visit"),
    _data("parts", "", "parts, what holds them and what they are on or behind"),
    _data("connections", "", "plugs, hoses, lines and what they join"),
    _data("openings", "", "openings that stand exposed when something is off"),
    _data("fasteners", "", "groups of fasteners, with thread, class, stages and order"),
    _data("fluids", "", "fluids, how much and which"),
    _data("hazards", "", "hazards of this page, beside the built-in ones"),
    _data("expect", "source", "numbers as a source prints them, typed a second time"),
    _data("picture", "id", "a picture, and where in it the things are that it shows"),
    BlockKind("step", Body.TEXT, "title", "one step of the work"),
    BlockKind("common-steps", Body.TEXT, "common id", "the steps of a common page, in this place"),
    BlockKind("rule", Body.TEXT, "id", "a sentence that holds wherever its work is done"),
    BlockKind("danger", Body.TEXT, "title", "will kill or maim if not avoided", False),
    BlockKind("warning", Body.TEXT, "title", "could kill or maim if not avoided", False),
    BlockKind("caution", Body.TEXT, "title", "could injure lightly if not avoided", False),
    BlockKind("notice", Body.TEXT, "title", "could damage things, not people", False),
    _derived("preparation", "applicability, kit check-in, tools, supplies, people, time, hazards"),
    _derived("torque-table", "every joint touched, with its stages in three units"),
    _derived("parts-list", "from the kit, re-used, discarded, returned, supplies"),
    _derived("tool-list", "sockets, reaches, torque wrenches and hand tools"),
    _derived("order-drawing", "the tightening order as a drawing", "fastener id"),
    _derived("open-items", "what is open, loose, covered, drained or isolated after a step"),
    _derived("back-out", "the way back to a car that can leave, from a step"),
    _derived("close-up", "last checks, tight joints, tests, re-checks due"),
    _derived("handover", "what the customer gets"),
    _derived("gain-report", "the dyno result", "dyno session id"),
    _derived("find-procedure", "cards that lead from car to kit to procedure", ""),
    BlockKind(
        "page-example", Body.SAMPLE, "what it shows", "a page shown as text and checked", False
    ),
)

BLOCK_KINDS = {kind.name: kind for kind in _KINDS}

SIGNAL_WORDS = ("danger", "warning", "caution", "notice")

IN_SIGHT = frozenset({"step", "common-steps", "danger", "warning", "caution"})
"""What is never put where it is not seen: work, and what warns of injury."""

ROLE_NAMES = ("torque", "fastener", "part", "connection", "tool", "q", "step", "rule")


OPTION_LINE = re.compile(r"\s*:(?!:)([^\s:][^:]*):(?:\s+(.*))?$")


class Split(NamedTuple):
    """A block's content taken apart; the offsets count lines from the content's first line."""

    yaml: str
    yaml_offset: int
    body: str
    body_offset: int
    closed: bool = True


def split_options(content: str) -> Split:
    """Take the options off the top of a block's content."""
    lines = content.split("\n")
    first = next((n for n, line in enumerate(lines) if line.strip()), None)
    if first is None:
        return Split("", 0, "", 0)
    if lines[first].startswith("---"):
        return _between_rules(lines, first)
    return _colon_lines(lines, first)


def _between_rules(lines: list[str], first: int) -> Split:
    for n in range(first + 1, len(lines)):
        if lines[n].startswith("---"):
            return Split("\n".join(lines[first + 1 : n]), first + 1, *_body(lines, n + 1))
    return Split("\n".join(lines[first + 1 :]), first + 1, "", len(lines), closed=False)


def _colon_lines(lines: list[str], first: int) -> Split:
    options: list[str] = []
    for line in lines[first:]:
        match = OPTION_LINE.match(line)
        if not match:
            break
        options.append(f"{match[1]}: {match[2] or ''}")
    return Split("\n".join(options), first, *_body(lines, first + len(options)))


def _body(lines: list[str], start: int) -> tuple[str, int]:
    while start < len(lines) and not lines[start].strip():
        start += 1
    return "\n".join(lines[start:]).rstrip(), start
