"""Faults in the prose of steps and in the spelling of the blocks."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.faults.kinds import Fault, Severity, kind
from tests.faults.likeness import other_side
from tests.faults.source import Edit, Source
from tests.faults.steps import WORK, name_of, span_of, touched
from tests.faults.words import OTHER_UNITS, slips

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.work import Step
    from tests.faults.demo import Demo

_SIDE = re.compile(r"(?<![`\w-])(left|right|front|rear|upper|lower)(?![`\w-])")
_AMOUNT = re.compile(r"\{q\}`([^`]+)`")
_ROLE = re.compile(r"\{(torque|fastener|part|connection|step)\}`([^`]+)`")


def _prose(demo: Demo) -> Iterator[tuple[Source, Step, int, str]]:
    """Yield the text of every step below its options, with its offset."""
    for source in demo.pages(*WORK):
        for step in source.steps:
            start, end = span_of(source, step)
            last = max((s.end for s in source.spots(step.block).scalars()), default=start)
            yield source, step, last, source.text[last:end]


@kind("left for right, front for rear in the prose")
def other_way(demo: Demo) -> Iterator[Fault]:
    """Write the other side."""
    for source, step, at, text in _prose(demo):
        for match in _SIDE.finditer(text):
            new = other_side(match[0])
            near = " ".join(text[max(0, match.start() - 25) : match.end() + 25].split())
            what = f"{name_of(step)}: {new} for {match[0]} in “{near}”"
            edit = Edit(at + match.start(), at + match.end(), new)
            yield Fault(source.name, what, (edit,), touched(step))


@kind("another quantity in the prose")
def other_amount(demo: Demo) -> Iterator[Fault]:
    """Mistype a pressure, a gap, a time, or write the unit of the other column."""
    for source, step, at, text in _prose(demo):
        for match in _AMOUNT.finditer(text):
            unit = match[1].partition(" ")[2]
            for new in (*slips(match[1]), match[1].replace(unit, OTHER_UNITS.get(unit, unit))):
                if new != match[1]:
                    what = f"{name_of(step)}: {{q}} {new} for {match[1]}"
                    edit = Edit(at + match.start(1), at + match.end(1), new)
                    yield Fault(source.name, what, (edit,), touched(step))


@kind("a torque typed by hand in the prose")
def typed(demo: Demo) -> Iterator[Fault]:
    """Type the number that the role would have shown, and get it wrong or right."""
    for source, step, at, text in _prose(demo):
        for match in _ROLE.finditer(text):
            if match[1] == "torque":
                for new in ("25 N·m", "25Nm", "18 ft-lb", "25 newton metres"):
                    what = f"{name_of(step)}: {new} for the torque of {match[2]}"
                    edit = Edit(at + match.start(), at + match.end(), new)
                    yield Fault(source.name, what, (edit,), (match[2],))


@kind("a reference to another step")
def other_step(demo: Demo) -> Iterator[Fault]:
    """Send the technician back to another step."""
    for source, step, at, text in _prose(demo):
        for match in _ROLE.finditer(text):
            names = [other.id for other in source.steps if other.id not in {"", match[2]}]
            for new in names if match[1] == "step" else ():
                what = f"{name_of(step)}: {{step}} {new} for {match[2]}"
                edit = Edit(at + match.start(2), at + match.end(2), new)
                yield Fault(source.name, what, (edit,), touched(step))


# -- spelling --------------------------------------------------------------------------------------


def misspelt(name: str) -> str:
    """An id with a slip of the pen: its last two letters the other way round, or one more."""
    swapped = f"{name[:-2]}{name[-1]}{name[-2]}"
    return f"{name}s" if swapped == name or "-" in name[-2:] else swapped


@kind("misspell an id", Severity.WASTES, rises=False)
def misspelling(demo: Demo) -> Iterator[Fault]:
    """Spell an id otherwise in one place: where it is defined, in an action, a field or a role."""
    known = sorted(demo.names, key=len, reverse=True)
    pattern = re.compile(r"(?<![\w-])(" + "|".join(map(re.escape, known)) + r")(?![\w-])")
    for source in demo.sources.values():
        for block in source.blocks.values():
            if block.blocks:
                continue
            start, end = source.rows(block.place.line, block.end)
            for match in pattern.finditer(source.text, start, end):
                if "-" in match[0]:
                    edit = Edit(match.start(), match.end(), misspelt(match[0]))
                    what = f"{block.name} {block.argument}: {misspelt(match[0])} for {match[0]}"
                    yield Fault(source.name, what, (edit,))


@kind("a slip in the signs of a block", Severity.WASTES, rises=False)
def signs(demo: Demo) -> Iterator[Fault]:
    """Lose a colon, a bracket, a comma, a dash, a fence; indent a line too far."""
    for source in demo.sources.values():
        for block in source.blocks.values():
            start, end = source.rows(block.place.line, block.end)
            words = f"{block.name} {block.argument}".strip()
            for sign, said in ((": ", "colon"), ("]", "bracket"), ("}", "brace"), ("- ", "dash")):
                at = source.text.find(sign, source.text.index("\n", start), end)
                if at > 0:
                    what = f"{words}: the first {said} lost"
                    yield Fault(source.name, what, (Edit(at, at + 1),))
            if not block.blocks:
                fence, _ = source.rows(block.end, block.end)
                yield Fault(source.name, f"{words}: its last fence lost", (Edit(fence, end),))


@kind("a field misspelt", Severity.WASTES, rises=False)
def field_misspelt(demo: Demo) -> Iterator[Fault]:
    """Write a field that there is not: `held_by`, `hold-by`, `counts`."""
    for source in demo.sources.values():
        for entity in source.content.entities:
            for key, _ in source.spot_of(entity).entries:
                for new in (key.value.replace("-", "_"), misspelt(key.value)):
                    if new != key.value and key.end - key.start == len(key.value):
                        what = f"{entity.id}: `{new}` for `{key.value}`"
                        edit = Edit(key.start, key.end, new)
                        yield Fault(source.name, what, (edit,), (entity.id,))
