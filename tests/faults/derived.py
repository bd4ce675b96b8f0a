"""Faults in derived blocks: one left out, or about another step, joint or procedure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, Body
from tests.faults.kinds import Fault, Severity, kind
from tests.faults.likeness import similar
from tests.faults.source import Edit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.reading.page import Block
    from tests.faults.demo import Demo
    from tests.faults.source import Source

HOW_BAD = {
    "preparation": Severity.INJURES,  # the hazards, before step 1
    "close-up": Severity.INJURES,  # the last look at brakes, wheels, leaks
    "parts-list": Severity.WASTES,
    "tool-list": Severity.WASTES,
    "gain-report": Severity.WASTES,
    "find-procedure": Severity.WASTES,
}
"""Of the others a joint may stay loose or a look be forgotten: they damage."""


def _derived(demo: Demo) -> Iterator[tuple[Source, Block]]:
    for source in demo.sources.values():
        for block in source.blocks.values():
            if BLOCK_KINDS[block.name].body is Body.DERIVED:
                yield source, block


@kind("drop a derived block")
def dropped(demo: Demo) -> Iterator[Fault]:
    """Delete what the library would have filled."""
    for source, block in _derived(demo):
        edit = Edit(*source.rows(block.place.line, block.end))
        what = f"drop {{{block.name}}} {block.argument}".rstrip()
        worst = HOW_BAD.get(block.name, Severity.DAMAGES)
        yield Fault(source.name, what, (edit,), severity=worst)


@kind("a derived block about something else")
def other_subject(demo: Demo) -> Iterator[Fault]:
    """Draw the order of a similar joint, list what is open after another step."""
    for source, block in _derived(demo):
        name, line = str(block.argument), block.place.line
        for new in similar(demo, source.name, name) if name else ():
            at = source.text.index(name, source.text.index("}", source.rows(line, line)[0]))
            what = f"{{{block.name}}} {new} for {name}"
            yield Fault(source.name, what, (Edit(at, at + len(name), new),), (name, new))
        after = source.spots(block).get("after")
        steps = [step.id for step in source.steps if step.id]
        for step in steps if after else ():
            if after and step != after.value:
                what = f"{{{block.name}}} after {step} for {after.value}"
                edit = Edit(after.start, after.end, step)
                yield Fault(source.name, what, (edit,), severity=Severity.DAMAGES)
