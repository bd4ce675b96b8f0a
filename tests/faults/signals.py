"""Faults in what warns the technician: left out, played down, about another hazard, too late."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.language.entities.hazard import Hazard
from procedures_lib.language.reading.block_kinds import SIGNAL_WORDS
from tests.faults.kinds import Fault, Severity, kind
from tests.faults.source import Edit, Source
from tests.faults.steps import WORK

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.reading.page import Block
    from tests.faults.demo import Demo

BUILT_IN = ("battery", "fuel-pressure", "coolant-heat", "exhaust-heat", "brake-hydraulics",
            "airbag", "raised-vehicle", "refrigerant")  # fmt: skip


def _signals(demo: Demo) -> Iterator[tuple[Source, Block]]:
    for source in demo.pages(*WORK):
        for block in source.blocks.values():
            if block.name in SIGNAL_WORDS:
                yield source, block


def _words(source: Source, block: Block) -> str:
    hazard = source.spots(block).get("hazard")
    return f"{block.name} “{block.argument}”" + (f" ({hazard.value})" if hazard else "")


def _worst(block: Block) -> Severity:
    """A notice is about things, the others about people (ANSI Z535.6)."""
    return Severity.DAMAGES if block.name == "notice" else Severity.INJURES


@kind("drop a signal word")
def dropped(demo: Demo) -> Iterator[Fault]:
    """Leave a warning out."""
    for source, block in _signals(demo):
        edit = Edit(*source.rows(block.place.line, block.end))
        what = f"drop the {_words(source, block)}"
        yield Fault(source.name, what, (edit,), severity=_worst(block))


@kind("play a signal word down")
def played_down(demo: Demo) -> Iterator[Fault]:
    """Write the next weaker signal word."""
    for source, block in _signals(demo):
        weaker = SIGNAL_WORDS[SIGNAL_WORDS.index(block.name) + 1 :][:1]
        at = source.text.index(block.name, source.rows(block.place.line, block.end)[0])
        for new in weaker:
            edit = Edit(at, at + len(block.name), new)
            what = f"{new} for the {_words(source, block)}"
            yield Fault(source.name, what, (edit,), severity=_worst(block))


@kind("a signal word about another hazard, or about none")
def other_hazard(demo: Demo) -> Iterator[Fault]:
    """Name another hazard of the page or a built-in one, or leave it out."""
    for source, block in _signals(demo):
        whole = source.spots(block)
        spot = whole.get("hazard")
        if spot is None:
            continue
        own = [e.id for e in demo.manual.scope(source.name).entities() if isinstance(e, Hazard)]
        for new in (*own, *BUILT_IN):
            if new != spot.value:
                what = f"{_words(source, block)} as {new}"
                edit = Edit(spot.start, spot.end, new)
                yield Fault(source.name, what, (edit,), severity=_worst(block))
        edit = source.without(whole, "hazard")
        what = f"{_words(source, block)}: no hazard named"
        yield Fault(source.name, what, (edit,), severity=_worst(block))


@kind("a signal word behind the work that it warns of")
def too_late(demo: Demo) -> Iterator[Fault]:
    """Have the warning at the end of the step, or in the step after."""
    for source in demo.pages(*WORK):
        for step in source.steps:
            for block in step.block.walk():
                if block.name not in SIGNAL_WORDS:
                    continue
                span = source.rows(block.place.line, block.end)
                end, _ = source.rows(step.block.end, step.block.end)
                if source.text[span[1] : end].strip():
                    text = source.text[slice(*span)]
                    edits = (Edit(*span), Edit(end, end, f"\n{text}"))
                    what = f"the {_words(source, block)} at the end of its step"
                    yield Fault(source.name, what, edits, severity=_worst(block))


@kind("drop a declared hazard, or its definition")
def undeclared(demo: Demo) -> Iterator[Fault]:
    """Leave a hazard out of the `hazards` of a step, of a head, or out of the block of hazards."""
    for source in demo.sources.values():
        for block in source.blocks.values():
            whole = source.spots(block) if block.name in {"step", "procedure", "hazards"} else None
            for n, spot in enumerate(whole.texts("hazards") if whole else ()):
                assert whole is not None
                what = f"{block.argument}: drop the hazard `{spot.value}`"
                edit = source.without(whole, "hazards", n)
                yield Fault(source.name, what, (edit,), severity=Severity.INJURES)
            for key, _ in whole.entries if whole and block.name == "hazards" else ():
                assert whole is not None
                what = f"drop the definition of {key.value}"
                if len(whole.entries) > 1:
                    edit = source.without(whole, key.value)
                    yield Fault(source.name, what, (edit,), severity=Severity.INJURES)


@kind("drop a rule of the shop, or what it is about", Severity.INJURES)
def rules(demo: Demo) -> Iterator[Fault]:
    """Leave out a sentence that a shop repeats, a thing that it is about, or where it is cited."""
    for source in demo.sources.values():
        for block in source.blocks.values():
            if block.name == "rule":
                edit = Edit(*source.rows(block.place.line, block.end))
                yield Fault(source.name, f"drop the rule {block.argument}", (edit,))
                whole = source.spots(block)
                for n, spot in enumerate(whole.texts("about")):
                    edit = source.without(whole, "about", n)
                    what = f"the rule {block.argument} is not about {spot.value}"
                    yield Fault(source.name, what, (edit,))
            for role in block.roles:
                if role.name == "rule":
                    yield _without_role(source, str(role.target), role.target.line)


def _without_role(source: Source, name: str, line: int) -> Fault:
    written = f"{{rule}}`{name}`"
    at = source.text.index(written, source.rows(line, line)[0])
    edit = Edit(at, at + len(written), "This")
    return Fault(source.name, f"the rule {name} is not cited", (edit,))
