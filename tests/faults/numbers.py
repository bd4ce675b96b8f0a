"""Faults in torques, angles and stages, as they stand in the block and in double entry."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from procedures_lib.language.entities.car import Fastener
from tests.faults.kinds import Fault, Severity, kind
from tests.faults.likeness import similar
from tests.faults.source import Edit, Source
from tests.faults.words import CONFUSED, OTHER_UNITS, slips

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.entity import Entity
    from tests.faults.demo import Demo
    from tests.faults.spots import Spot


def joints(demo: Demo) -> Iterator[tuple[Source, Entity, Spot]]:
    """Yield every fastener that has stages: its page and its fields."""
    for source, fastener in demo.entities(Fastener):
        whole = source.spot_of(fastener)
        if whole.get("tighten"):
            yield source, fastener, whole


def stages(spot: Spot) -> Iterator[Spot]:
    """Yield the stages below a ``tighten``, also of those that have an order or a condition."""
    if spot.value:
        yield spot
    elif spot.get("stage"):
        yield from stages(spot.get("stage") or spot)
    else:
        for part in (*spot.items, *(value for _, value in spot.entries)):
            yield from stages(part)


def all_stages(demo: Demo) -> Iterator[tuple[Source, Entity, Spot]]:
    """Yield every stage with a number in it."""
    for source, fastener, whole in joints(demo):
        for spot in stages(whole.get("tighten") or whole):
            if any(sign.isdigit() for sign in spot.value):
                yield source, fastener, spot


def _replaced(source: Source, name: str, spot: Spot, new: str) -> Fault:
    old = source.text[spot.start : spot.end]
    mark = old[0] if old[0] in "\"'" else ""
    edit = Edit(spot.start, spot.end, f"{mark}{new}{mark}")
    return Fault(source.name, f"{name}: `{new}` for `{spot.value}`", (edit,), (name,))


@kind("another digit of a torque or angle")
def other_digit(demo: Demo) -> Iterator[Fault]:
    """Mistype the number in the block: a digit, two exchanged, the point."""
    for source, fastener, spot in all_stages(demo):
        for new in slips(spot.value):
            yield _replaced(source, fastener.id, spot, new)


@kind("another unit of a torque")
def other_unit(demo: Demo) -> Iterator[Fault]:
    """Write the number with the unit of the other column."""
    for source, fastener, spot in all_stages(demo):
        for unit, new in OTHER_UNITS.items():
            if spot.value.endswith(f" {unit}"):
                yield _replaced(source, fastener.id, spot, spot.value.replace(unit, new))


@kind("no unit of a torque, or one that means two")
def no_unit(demo: Demo) -> Iterator[Fault]:
    """Leave the unit out, or write pounds."""
    for source, fastener, spot in all_stages(demo):
        for unit in OTHER_UNITS:
            if spot.value.endswith(f" {unit}"):
                yield _replaced(source, fastener.id, spot, spot.value.removesuffix(f" {unit}"))
                yield _replaced(source, fastener.id, spot, spot.value.replace(unit, "lb"))


def rows(demo: Demo) -> Iterator[tuple[Source, Spot, Spot]]:
    """Yield every row of double entry: its page, its id, its text."""
    for source in demo.sources.values():
        for block in source.blocks.values():
            if block.name == "expect":
                for key, value in source.spots(block).entries:
                    yield source, key, value


def _row_edits(
    demo: Demo, name: str, case: str, old: str, new: str
) -> tuple[tuple[str, Edit], ...]:
    """The rows of a joint with another torque, of cars of one case where the row tells them apart.

    A row that has no torque stays.
    """
    return tuple(
        (source.name, Edit(part.start, part.end, text))
        for source, key, row in rows(demo)
        if key.value == name
        for part in (row.texts(case) if row.entries and case else row.scalars())
        if (text := _last(part.value, old, new)) != part.value
    )


def _case(whole: Spot, spot: Spot) -> str:
    """Return of which cars a stage holds: "" where the joint is tightened alike in all of them."""
    tighten = whole.get("tighten") or whole
    cases = ((key.value, at) for key, at in tighten.entries if at.start <= spot.start < at.end)
    return next((case for case, _ in cases), "")


@kind("a mistyped torque copied into double entry")
def copied(demo: Demo) -> Iterator[Fault]:
    """Fill the row from the block instead of from the sheet: the slip stands in both."""
    for source, fastener, spot in all_stages(demo):
        case = _case(source.spot_of(fastener), spot)
        for new in slips(spot.value):
            edits = _row_edits(demo, fastener.id, case, spot.value, new)
            fault = _replaced(source, fastener.id, spot, new)
            what = f"{fault.what}, copied" if edits else f"{fault.what}, no row"
            yield Fault(source.name, what, fault.edits, fault.touches, None, edits)


def _last(row: str, old: str, new: str) -> str:
    """The row with a torque written as it stands in the block."""
    parts = [part.strip() for part in row.split(",")]
    if old in parts:
        return ", ".join(new if part == old else part for part in parts)
    for n in range(len(parts) - 1, -1, -1):
        if any(unit in parts[n] for unit in ("lbf", "N·m", "°")):
            return ", ".join([*parts[:n], new, *parts[n + 1 :]])
    return row


@kind("the torque of a similar joint, in both places")
def of_another(demo: Demo) -> Iterator[Fault]:
    """Read the line above in the sheet, and type it twice."""
    for source, fastener, whole in joints(demo):
        mine = whole.get("tighten")
        for name in similar(demo, source.name, fastener.id):
            theirs = _tighten(demo, source, name)
            if mine is None or not theirs or theirs == source.text[mine.start : mine.end]:
                continue
            torque = theirs.strip("[]").split(",")[-1].strip()
            edits = _row_edits(demo, fastener.id, "", "", torque)
            what = f"{fastener.id}: tightened like {name}, {theirs}"
            edit = Edit(mine.start, mine.end, theirs)
            yield Fault(source.name, what, (edit,), (fastener.id,), None, edits)


def _tighten(demo: Demo, source: Source, name: str) -> str:
    for other in demo.sources.values():
        if other.name in demo.manual.scope(source.name).pages:
            for entity in other.content.entities:
                if entity.id == name:
                    spot = other.spot_of(entity).get("tighten")
                    text = other.text[spot.start : spot.end] if spot else ""
                    return "" if "\n" in text or text.startswith("{") else text
    return ""


# -- stages ----------------------------------------------------------------------------------------


@kind("drop a stage, or all of them")
def dropped_stage(demo: Demo) -> Iterator[Fault]:
    """Leave out a stage of a joint, or how tight it is altogether."""
    for source, fastener, whole in joints(demo):
        edit = source.without(whole, "tighten")
        yield Fault(source.name, f"{fastener.id}: no stage", (edit,), (fastener.id,))
        spots = whole.texts("tighten")
        for n, spot in enumerate(spots if len(spots) > 1 else ()):
            text = source.text[spot.start : spot.end]
            edit = source.without(whole, "tighten", n)
            yield Fault(
                source.name, f"{fastener.id}: drop the stage {text}", (edit,), (fastener.id,)
            )


@kind("swap two stages, or two conditions")
def swapped_stages(demo: Demo) -> Iterator[Fault]:
    """Have two stages of a joint change places, or what holds for two kinds of cars."""
    for source, fastener, whole in joints(demo):
        spot = whole.get("tighten") or whole
        parts = spot.items or tuple(value for _, value in spot.entries)
        for one, two in pairwise(parts):
            first, second = (source.text[part.start : part.end] for part in (one, two))
            edits = (Edit(one.start, one.end, second), Edit(two.start, two.end, first))
            what = f"{fastener.id}: swap {first} and {second}"
            yield Fault(source.name, what, edits, (fastener.id,))
        for key, _ in spot.entries:
            edit = source.without(spot, key.value)
            yield Fault(
                source.name, f"{fastener.id}: none for {key.value}", (edit,), (fastener.id,)
            )


@kind("a slip in a row of double entry", Severity.WASTES, rises=False)
def wrong_row(demo: Demo) -> Iterator[Fault]:
    """Mistype the row: its block is right."""
    for source, key, value in rows(demo):
        for part in value.scalars():
            for new in slips(part.value):
                yield _replaced(source, key.value, part, new)
        for name in similar(demo, source.name, key.value):
            what = f"the row of {key.value} under {name}"
            yield Fault(source.name, what, (Edit(key.start, key.end, name),), (name,))


# -- threads and heads -----------------------------------------------------------------------------

THREADS = {
    "M5x0.8": ("M6x1.0",), "M6x1.0": ("M8x1.25", "M6x0.75"), "M8x1.25": ("M8x1.0", "M10x1.5"),
    "M10x1.5": ("M10x1.25", "M12x1.75"), "M10x1.25": ("M10x1.5",), "M10x1.0": ("M10x1.5", "M8x1.0"),
    "M12x1.75": ("M12x1.5",), "M12x1.5": ("M12x1.75", "M14x1.5"), "M12x1.25": ("M12x1.5",),
    "M14x1.5": ("M14x2.0", "M12x1.5"), "M18x2.0": ("M18x1.5",), "M18x1.5": ("M18x2.0",),
    "M20x1.5": ("M20x2.5",), "M24x2.0": ("M24x3.0",), "1/4-20 UNC": ("1/4-28 UNF",),
    "5/16-18 UNC": ("5/16-24 UNF",), "3/8-24 UNF": ("3/8-16 UNC",), "1/2-13 UNC": ("1/2-20 UNF",),
}  # fmt: skip
"""The pitch beside it in the table, and the size beside it in the box (ISO 261, ASME B1.1)."""


@kind("another thread")
def other_thread(demo: Demo) -> Iterator[Fault]:
    """Write the pitch or the size beside it, of a joint or of the part it goes into."""
    for source in demo.sources.values():
        for entity in source.content.entities:
            spot = source.spot_of(entity).get("thread")
            for new in THREADS.get(spot.value, ()) if spot else ():
                assert spot is not None
                yield _replaced(source, entity.id, spot, new)


# -- orders ----------------------------------------------------------------------------------------


def orders(demo: Demo) -> Iterator[tuple[Source, str, Spot]]:
    """Yield each order: what it belongs to, and the mapping it stands in."""
    for source, fastener in demo.entities(Fastener):
        whole = source.spot_of(fastener)
        if whole.get("order"):
            yield source, fastener.id, whole
        for n, stage in enumerate(whole.texts("tighten"), start=1):
            if stage.get("order"):
                yield source, f"{fastener.id}, stage {n}", stage


@kind("a wrong order of tightening")
def other_order(demo: Demo) -> Iterator[Fault]:
    """Exchange two bolts, name one twice, leave one out, write another word, leave all out."""
    for source, owner, whole in orders(demo):
        touches = (owner.partition(",")[0],)
        edit = source.without(whole, "order")
        yield Fault(source.name, f"{owner}: no order", (edit,), touches)
        names = whole.texts("order")
        if len(names) == 1:
            for new in CONFUSED["order"].get(names[0].value, ()):
                edit = Edit(names[0].start, names[0].end, new)
                yield Fault(source.name, f"{owner}: order {new}", (edit,), touches)
            continue
        for one, two in pairwise(names):
            edits = (Edit(one.start, one.end, two.value), Edit(two.start, two.end, one.value))
            what = f"{owner}: swap `{one.value}` and `{two.value}`"
            yield Fault(source.name, what, edits, touches)
            what = f"{owner}: `{one.value}` in place of `{two.value}`"
            yield Fault(source.name, what, (Edit(two.start, two.end, one.value),), touches)
        for n, name in enumerate(names):
            edit = source.without(whole, "order", n)
            yield Fault(source.name, f"{owner}: order without `{name.value}`", (edit,), touches)


@kind("a wrong position in a bolt pattern")
def other_position(demo: Demo) -> Iterator[Fault]:
    """Leave a bolt out of the drawing, exchange two, lose a sign, mistype one."""
    for source, fastener in demo.entities(Fastener):
        positions = source.spot_of(fastener).get("positions")
        entries = positions.entries if positions else ()
        for key, value in entries:
            assert positions is not None
            edit = source.without(positions, key.value)
            yield Fault(source.name, f"{fastener.id}: no `{key.value}`", (edit,), (fastener.id,))
            for part in value.items:
                if part.value.startswith("-"):
                    what = f"{fastener.id}: `{key.value}` at {part.value} without its sign"
                    edit = Edit(part.start, part.end, part.value[1:])
                    yield Fault(source.name, what, (edit,), (fastener.id,))
        for (one, _), (two, _) in pairwise(entries):
            edits = (Edit(one.start, one.end, two.value), Edit(two.start, two.end, one.value))
            what = f"{fastener.id}: positions of `{one.value}` and `{two.value}` exchanged"
            yield Fault(source.name, what, edits, (fastener.id,))
