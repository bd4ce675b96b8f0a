"""Faults in hardware: another count, another thread, a thing missing from the box."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from procedures_lib.engineering.threads import read_thread
from procedures_lib.engineering.threads.designation import metric_pitches
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.kit import Kit
from tests.faults.joints import (
    NEVER_TIGHTENED,
    UNTOUCHED,
    goes_back_in,
    is_tightened,
    is_touched,
)
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.entity import Entity
    from tests.faults.demo import Demo
    from tests.faults.spots import Spot

NOT_AGAIN = "no procedure puts it in again: the old ones stay out, the new ones come from the kit"

METRIC_SIZES = ("M3", "M4", "M5", "M6", "M8", "M10", "M12", "M14", "M16", "M18", "M20", "M22",
                "M24", "M27", "M30", "M33")  # fmt: skip
"""Of ISO 261; a slip takes the next larger size that has the pitch."""
INCH_SIZES = ("#8", "#10", "1/4", "5/16", "3/8", "7/16", "1/2", "9/16", "5/8", "3/4")
COARSE_AND_FINE = {
    "#8": ("32", "36"), "#10": ("24", "32"), "1/4": ("20", "28"), "5/16": ("18", "24"),
    "3/8": ("16", "24"), "7/16": ("14", "20"), "1/2": ("13", "20"), "9/16": ("12", "18"),
    "5/8": ("11", "18"), "3/4": ("10", "16"),
}  # fmt: skip
"""Threads per inch of ASME B1.1, UNC and UNF; a slip takes the other."""


def _changed(source: Source, owner: str, field: str, spot: Spot, new: str) -> Fault:
    what = f"{owner}: {field} `{spot.value}` as `{new}`"
    return Fault(source.name, what, (Edit(spot.start, spot.end, new),))


@kind("change a count")
def other_count(demo: Demo) -> Iterator[Fault]:
    """Count one more, and one fewer where there are more than one."""
    for model in (Part, Connection, Fastener):
        for source, entity in demo.entities(model):
            whole = source.spot_of(entity)
            count = whole.get("count")
            if count is None:
                continue
            reason = "" if is_touched(demo, entity) else UNTOUCHED
            for new in (int(count.value) + 1, int(count.value) - 1):
                fault = _changed(source, entity.id, "count", count, str(new))
                yield replace(fault, harmless=reason)


# -- threads ---------------------------------------------------------------------------------------


def _threads(demo: Demo) -> Iterator[tuple[Source, Entity, Spot]]:
    for model in (Part, Fastener):
        for source, entity in demo.entities(model):
            if spot := source.spot_of(entity).get("thread"):
                yield source, entity, spot


def _other_thread(demo: Demo, source: Source, entity: Entity, spot: Spot, new: str) -> Fault:
    fault = _changed(source, entity.id, "thread", spot, new)
    idle = isinstance(entity, Fastener) and not is_tightened(demo, entity)
    return replace(fault, harmless=NEVER_TIGHTENED if idle else "")


@kind("change the pitch of a thread")
def other_pitch(demo: Demo) -> Iterator[Fault]:
    """Write another pitch of the same diameter."""
    for source, entity, spot in _threads(demo):
        if read_thread(spot.value).family == "metric":
            size, _, pitch = spot.value.partition("x")
            new = f"{size}x{_other_pitch(size, pitch)}"
        else:
            size, _, rest = spot.value.partition("-")
            coarse, fine = COARSE_AND_FINE[size]
            new = f"{size}-{fine if rest.startswith(coarse) else coarse}"
        yield _other_thread(demo, source, entity, spot, new)


@kind("change the diameter of a thread")
def other_diameter(demo: Demo) -> Iterator[Fault]:
    """Write the next size that has this pitch."""
    for source, entity, spot in _threads(demo):
        metric = read_thread(spot.value).family == "metric"
        sizes, mark = (METRIC_SIZES, "x") if metric else (INCH_SIZES, "-")
        size, _, rest = spot.value.partition(mark)
        larger = sizes[sizes.index(size) + 1 :]
        new = _larger(larger, rest) if metric else f"{larger[0]}-{rest.split()[0]}"
        yield _other_thread(demo, source, entity, spot, new)


def _larger(sizes: tuple[str, ...], pitch: str) -> str:
    """The next size that has the pitch; where none has it, the next one with its coarse pitch."""
    for size in sizes:
        if Fraction(pitch) in _pitches(size):
            return f"{size}x{pitch}"
    return sizes[0]


def _other_pitch(size: str, pitch: str) -> str:
    """The next finer pitch that ISO 261 has for the size; the next coarser for the finest."""
    listed = _pitches(size)
    at = listed.index(Fraction(pitch))
    return f"{float(listed[at + 1] if at + 1 < len(listed) else listed[at - 1])}"


def _pitches(size: str) -> tuple[Fraction, ...]:
    return metric_pitches(Fraction(size.removeprefix("M")))


# -- the box ---------------------------------------------------------------------------------------


def _items(demo: Demo) -> Iterator[tuple[Source, Spot, int, Spot, str]]:
    for source, kit in demo.entities(Kit):
        whole = source.spot_of(kit)
        contents = whole.get("contents")
        for n, spot in enumerate(contents.items if contents else ()):
            yield source, whole, n, spot, kit.contents[n].what  # type: ignore[attr-defined]


@kind("drop an item from a kit's contents")
def dropped_item(demo: Demo) -> Iterator[Fault]:
    """Leave a line of the packing list out."""
    for source, whole, n, _, name in _items(demo):
        yield Fault(
            source.name, f"contents: drop `{name}`", (source.without(whole, "contents", n),)
        )


@kind("change a kit quantity")
def other_quantity(demo: Demo) -> Iterator[Fault]:
    """Put one more into the box, and one fewer where there are more than one."""
    for source, _, _, spot, name in _items(demo):
        quantity = spot.get("qty")
        if quantity is None:
            edit = Edit(spot.end - 1, spot.end - 1, ", qty: 2")
            yield Fault(source.name, f"{name}: qty `2`, where none is given", (edit,))
            continue
        yield _changed(source, name, "qty", quantity, str(int(quantity.value) + 1))
        if quantity.value != "1":
            yield _changed(source, name, "qty", quantity, str(int(quantity.value) - 1))


@kind("a reusable fastener becomes single-use")
def single_use(demo: Demo) -> Iterator[Fault]:
    """Say `reuse: false` of a fastener that is taken out and put in again."""
    for source, fastener in demo.entities(Fastener):
        whole = source.spot_of(fastener)
        again = isinstance(fastener, Fastener) and fastener.reusable
        if whole.get("reuse") or not again or not goes_back_in(demo, fastener):
            continue
        first = whole.entries[0][0].start
        gap = ", " if whole.flow else "\n" + " " * source.column_of(first)
        edit = Edit(first, first, f"reuse: false{gap}")
        yield Fault(source.name, f"{fastener.id}: reuse `false`", (edit,))


@kind("a single-use fastener becomes reusable")
def used_again(demo: Demo) -> Iterator[Fault]:
    """Say `reuse: true` of a thing that is new every time."""
    for model in (Part, Connection, Fastener):
        for source, entity in demo.entities(model):
            spot = source.spot_of(entity).get("reuse")
            if spot and spot.value == "false":
                fault = _changed(source, entity.id, "reuse", spot, "true")
                yield fault if goes_back_in(demo, entity) else replace(fault, harmless=NOT_AGAIN)
