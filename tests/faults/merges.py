"""Accidents of merging: something twice, a mark of a conflict left, half of an older version."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, Body
from tests.faults.kinds import Fault, Severity, kind
from tests.faults.numbers import joints
from tests.faults.source import Edit, Source
from tests.faults.steps import WORK, name_of, span_of, touched

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.demo import Demo
    from tests.faults.spots import Spot


@kind("a block twice")
def twice(demo: Demo) -> Iterator[Fault]:
    """Have a block of data, or a derived one, a second time on its page."""
    for source in demo.sources.values():
        for block in source.blocks.values():
            if BLOCK_KINDS[block.name].body in {Body.DATA, Body.DERIVED}:
                start, end = source.rows(block.place.line, block.end)
                text = f"\n{source.text[start:end]}"
                words = f"{{{block.name}}} {block.argument}".rstrip()
                what = f"the {words} of the page again behind itself"
                yield Fault(source.name, what, (Edit(end, end, text),))


@kind("an entry twice, with another value")
def entry_twice(demo: Demo) -> Iterator[Fault]:
    """Keep both sides of a conflict in a block: the same id again, or the same field."""
    for source, fastener, whole in joints(demo):
        spot = whole.get("tighten")
        text = source.text[spot.start : spot.end] if spot else ""
        if whole.flow or "\n" in text:
            continue
        edit = source.entry(whole, "tighten: 12 N·m")
        what = f"{fastener.id}: `tighten: 12 N·m` above `tighten: {text}`"
        yield Fault(source.name, what, (edit,), (fastener.id,))
    for source in demo.sources.values():
        for entity in source.content.entities:
            key, whole = source.key_of(entity), source.spot_of(entity)
            if key and whole.flow:
                first, last = source.rows(*2 * (source.row_of(key.start),))
                edit = Edit(last, last, source.text[first:last])
                yield Fault(source.name, f"{entity.id} defined twice", (edit,), (entity.id,))


@kind("marks of a conflict left")
def marks(demo: Demo) -> Iterator[Fault]:
    """Leave all three marks in a block or in a step's text, or one of them."""
    for source, fastener, whole in joints(demo):
        spot = whole.get("tighten")
        if spot is None or whole.flow:
            continue
        start, end = source.rows(*2 * (source.row_of(spot.start),))
        line = source.text[start:end]
        both = f"<<<<<<< HEAD\n{line}=======\n{line}>>>>>>> torques\n"
        what = f"{fastener.id}: both sides of `tighten`"
        yield Fault(source.name, what, (Edit(start, end, both),), (fastener.id,))
    for source in demo.pages(*WORK):
        for step in source.steps:
            _, end = span_of(source, step)
            start, _ = source.rows(step.block.end, step.block.end)
            for mark in ("=======", ">>>>>>> torques"):
                what = f"`{mark}` at the end of {name_of(step)}"
                yield Fault(source.name, what, (Edit(start, start, f"{mark}\n"),), touched(step))
                what = f"`{mark}` behind {name_of(step)}"
                yield Fault(source.name, what, (Edit(end, end, f"\n\n{mark}\n"),), touched(step))


MIXED = (("thread",), ("thread", "class"), ("tighten",), ("count",), ("class",), ("condition",))


@kind("half of an older joint")
def half_old(demo: Demo) -> Iterator[Fault]:
    """Have some fields of a new joint as they were on the one that it replaces."""
    for source, new, old in _replaced_joints(demo):
        for keys in MIXED:
            edits, said = [], []
            for key in keys:
                spot, was = new.get(key), old[1].get(key)
                if not spot or not was:
                    continue
                text = old[0].text[was.start : was.end]
                if text != source.text[spot.start : spot.end] and "\n" not in text:
                    edits.append(Edit(spot.start, spot.end, text))
                    said.append(f"{key} {text}")
            if len(edits) == len(keys):
                name = str(old[2])
                what = f"{name}: {', '.join(said)}, as of the old one"
                yield Fault(source.name, what, tuple(edits), (name,))


def _replaced_joints(demo: Demo) -> Iterator[tuple[Source, Spot, tuple[Source, Spot, str]]]:
    where = {(s.name, e.id): (s, e) for s, e in demo.entities(Fastener)}
    for source, kit in demo.entities(Kit):
        assert isinstance(kit, Kit)
        vehicle = f"vehicles/{kit.fits.vehicle}.md"
        for item in kit.contents:
            new = where.get((source.name, str(item.what)))
            old = where.get((vehicle, str(item.replaces or "")))
            if new and old:
                yield (
                    source,
                    source.spot_of(new[1]),
                    (old[0], old[0].spot_of(old[1]), str(item.what)),
                )


@kind("the tail of a page lost", Severity.INJURES)
def tail_lost(demo: Demo) -> Iterator[Fault]:
    """Lose all that stands behind a step."""
    for source in demo.pages("procedures"):
        for step in source.steps[2:]:
            _, end = span_of(source, step)
            edit = Edit(end, len(source.text), "\n")
            yield Fault(source.name, f"nothing behind {name_of(step)}", (edit,))
