"""Steps of a draft: title, proposed actions and prose, made of the words of a step list."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from procedures_lib.engineering.quantities import find_quantities, quantity_of
from procedures_lib.fronts.cli.taking_over.actions import Deed, Things, deeds_of
from procedures_lib.fronts.cli.taking_over.cells import blank
from procedures_lib.fronts.cli.taking_over.entries import Entry, Taken
from procedures_lib.fronts.cli.taking_over.step_list import Instruction, clauses
from procedures_lib.fronts.cli.taking_over.tables import Left

_MARKDOWN = re.compile(r"([\\`*_{}\[\]<>$|~])")
_AT_THE_START = re.compile(r"^(\d*)(?=[-+#>:=%(^!.)])")
_MOST_WORDS = 9
_TIGHT = ("torque", "angle")
_LEAST_KNOWN = 3
_TRAILING = re.compile(r"(?:\s+(?:to|at|of|by|with|and|the|a|in|on|for|from))+$", re.I)


def taken_steps(steps: Sequence[Instruction], things: Things, where: str) -> Taken:
    """Return the steps as entries of a page.

    When in fewer than one of three a verb is known, the list is in another language or no list of
    steps, and none is taken over.
    """
    read = [(step, deeds_of(step.text, things)) for step in steps]
    known = sum(bool(deeds) for _, deeds in read)
    if known * _LEAST_KNOWN < len(read):
        why = f"only {known} of {len(read)} steps begin with a verb known here, in English"
        return Taken((), tuple(Left(where, step.number, why) for step, _ in read))
    return Taken(tuple(_entry(step, deeds, where) for step, deeds in read))


def _entry(step: Instruction, deeds: Sequence[Deed], where: str) -> Entry:
    title = title_of(step.texts[0]) or "A step"
    actions = [deed.line for deed in deeds] or [
        blank(f"what “{_short(step.text)}” does, or no `do` at all", "inspect seals")
    ]
    lines = [
        f":::{{step}} {title}",
        "---",
        "do:",
        *(f"  - {action}" for action in actions),
        "---",
        prose(step.text, deeds),
        ":::",
    ]
    return Entry("step", title, tuple(lines), where, step.number, step.text)


def _short(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:57]}…"


def title_of(text: str) -> str:
    """The first words of a step, up to its first figure: a title has no torque typed in it."""
    first = next(iter(clauses(text)), text).replace("|", "/")  # `---` below would make it a table
    typed = find_quantities(first)
    words = (first[: typed[0].start] if typed else first).split()[:_MOST_WORDS]
    return escaped(_TRAILING.sub("", " ".join(words)).strip(" ,;:-"))


def escaped(text: str) -> str:
    """Return a text in which no sign is one of Markdown's."""
    return _AT_THE_START.sub(r"\1\\", _inline(text))


def _inline(text: str) -> str:
    return _MARKDOWN.sub(r"\\\1", text)


@dataclass(frozen=True, slots=True)
class _Typed:
    """Figures typed in a text: where they start and end, and whether they are a joint's."""

    start: int
    end: int
    tight: bool


def prose(text: str, deeds: Sequence[Deed]) -> str:
    """Return the words of a step for its page: what is typed of figures goes into roles.

    A torque belongs to its joint, whose id is a blank.
    """
    pieces: list[str] = []
    at = 0
    joints = [deed for deed in deeds if deed.verb == "tighten"]
    for typed in _figures(text, bool(joints)):
        words = text[typed.start : typed.end]
        pieces.append(_inline(text[at : typed.start]) if at else escaped(text[: typed.start]))
        if typed.tight:
            example = joints[0].thing if joints else "cooler-bolts"
            pieces.append(f"{{torque}}`{blank(f'id of the fasteners that take {words}', example)}`")
        else:
            pieces.append(f"{{q}}`{words}`" if quantity_of(words) else _inline(words))
        at = typed.end
    pieces.append(escaped(text[at:]) if at == 0 else _inline(text[at:]))
    return "".join(pieces)


def _figures(text: str, has_joint: bool) -> list[_Typed]:
    """Return the figures of a text, a torque and the angle after it as one."""
    found: list[_Typed] = []
    for each in find_quantities(text):
        tight = each.kind in _TIGHT or (has_joint and each.kind in {"mass", "force"})
        near = found and found[-1].tight and tight and each.start - found[-1].end <= 8
        if near:
            found[-1] = _Typed(found[-1].start, each.end, True)
        else:
            found.append(_Typed(each.start, each.end, tight))
    return found
