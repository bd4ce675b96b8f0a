"""The names a block may have, what its body holds, what stands after the name: a closed list."""

from __future__ import annotations

import enum
from dataclasses import dataclass


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
    BlockKind("step", Body.TEXT, "title", "one step of the work"),
    BlockKind("common-steps", Body.TEXT, "common id", "the steps of a common page, in this place"),
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

ROLE_NAMES = ("torque", "fastener", "part", "connection", "tool", "q", "step")
