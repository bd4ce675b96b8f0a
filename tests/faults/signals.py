"""Faults in what warns the technician: a signal word or a hazard left out, or played down."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.language.reading.block_kinds import SIGNAL_WORDS
from procedures_lib.view.step import hazards_of_step
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source
from tests.faults.steps import WORK

CALLED_FOR = "the step calls for the hazard: the page shows it there and before step 1 by itself"
SHOWN_BY_OTHERS = "a signal word of the step shows it, and another step has it listed before step 1"

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.reading.page import Block
    from tests.faults.demo import Demo


def _signals(demo: Demo) -> Iterator[tuple[Source, Block]]:
    for source in demo.pages(*WORK):
        for block in source.blocks.values():
            if block.name in SIGNAL_WORDS:
                yield source, block


def _words(source: Source, block: Block) -> str:
    hazard = source.spots(block).get("hazard")
    return f"{block.name} “{block.argument}”" + (f" ({hazard.value})" if hazard else "")


@kind("drop a signal word")
def dropped(demo: Demo) -> Iterator[Fault]:
    """Leave a warning out."""
    for source, block in _signals(demo):
        edit = Edit(*source.rows(block.place.line, block.end))
        reason = CALLED_FOR if _called_for(demo, source, block) else ""
        yield Fault(source.name, f"drop the {_words(source, block)}", (edit,), reason)


def _called_for(demo: Demo, source: Source, signal: Block) -> bool:
    """Tell whether the step around a signal word shows its hazard by itself as well."""
    hazard = source.spots(signal).get("hazard")
    plan = demo.manual.plan_of_page(source.name)
    line = signal.place.line
    around = (
        n for n in (plan.steps if plan else ())
        if n.page == source.name and n.step.place.line <= line <= n.step.block.end
    )  # fmt: skip
    step = next(around, None)
    if hazard is None or plan is None or step is None:
        return False
    return hazard.value in hazards_of_step(step, plan)


@kind("play a signal word down")
def played_down(demo: Demo) -> Iterator[Fault]:
    """Write the next weaker signal word."""
    for source, block in _signals(demo):
        rank = SIGNAL_WORDS.index(block.name)
        if rank + 1 < len(SIGNAL_WORDS):
            weaker = SIGNAL_WORDS[rank + 1]
            at = source.text.index(block.name, source.rows(block.place.line, block.end)[0])
            edit = Edit(at, at + len(block.name), weaker)
            yield Fault(source.name, f"{weaker} for the {_words(source, block)}", (edit,))


@kind("drop a declared hazard")
def undeclared(demo: Demo) -> Iterator[Fault]:
    """Leave a hazard out of a step's `hazards`, or of the procedure's."""
    for source in demo.pages(*WORK):
        for block in source.blocks.values():
            if block.name not in {"step", "procedure"}:
                continue
            whole = source.spots(block)
            for n, spot in enumerate(whole.texts("hazards")):
                what = f"{block.argument}: drop the hazard `{spot.value}`"
                edits = (source.without(whole, "hazards", n),)
                reason = (
                    SHOWN_BY_OTHERS if _shown_otherwise(demo, source, block, spot.value) else ""
                )
                yield Fault(source.name, what, edits, reason)


def _shown_otherwise(demo: Demo, source: Source, step: Block, hazard: str) -> bool:
    """Tell whether a signal word of the step, and other steps before step 1, show a hazard too."""
    plan = demo.manual.plan_of_page(source.name)
    others = [n for n in (plan.steps if plan else ()) if n.step.block is not step]
    listed = any(plan and hazard in hazards_of_step(other, plan) for other in others)
    signals = (inner for inner in step.walk() if inner.name in SIGNAL_WORDS)
    spots = (source.spots(signal).get("hazard") for signal in signals)
    return listed and any(spot is not None and spot.value == hazard for spot in spots)


@kind("drop a hazard's definition")
def undefined(demo: Demo) -> Iterator[Fault]:
    """Leave out what a page says of a hazard of its own."""
    for source in demo.sources.values():
        for block in source.blocks.values():
            if block.name == "hazards":
                for key, _ in source.spots(block).entries:
                    edit = source.without(source.spots(block), key.value)
                    yield Fault(source.name, f"drop the definition of {key.value}", (edit,))
