"""Drift: a number that stands in a block and, typed again, as its source prints it."""

from __future__ import annotations

from collections.abc import Iterator

from procedures_lib.engineering.quantities import agrees
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.findings import Finding
from procedures_lib.judging.checks.conditions import vehicle_of
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Part
from procedures_lib.language.entities.how_tight import HowTight, Stages
from procedures_lib.language.entities.work import Expect, ExpectRow
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Space
from procedures_lib.manual import Manual
from procedures_lib.view.joint import order_of, order_text

_UNSAID = frozenset({StageKind.HAND, StageKind.SNUG})
"""Stages that a source may leave unsaid."""


def expect_rows(manual: Manual, page: str) -> Iterator[Finding]:
    """Find rows of double entry that disagree with their block."""
    for expect in manual.contents[page].expects:
        for row in expect.rows:
            yield from judge_row(manual, page, expect, row)


def judge_row(manual: Manual, page: str, expect: Expect, row: ExpectRow) -> Iterator[Finding]:
    """Find what is wrong with one row."""
    entity = manual.scope(page).get(row.id)
    if isinstance(entity, Fastener) and row.amount is None:
        vehicle = vehicle_of(manual, page)
        problem = _fastener(entity, row, Space(vehicle.options if vehicle else ()))
    elif isinstance(entity, Part | Connection) and row.count is not None:
        problem = _count(entity, row)
    elif isinstance(entity, Fluid) and row.amount is not None:
        problem = _fluid(entity, row)
    else:
        return
    if problem and not manual.is_damaged(entity) and row.id not in manual.scope(page).shared:
        yield Finding(
            row.place,
            "expect-disagrees",
            f"`{row.id}`: {problem}",
            f"look at {expect.source or 'the source'} and put right whichever is wrong",
            related=(entity.place,),
        )


def _fluid(fluid: Fluid, row: ExpectRow) -> str:
    if row.amount is None or fluid.quantity is None:
        return f"the source prints {row.text}, the block has no quantity"
    if agrees(row.amount, fluid.quantity):
        return ""
    return f"the source prints {row.text}, the block says {fluid.quantity.tidy}"


def _fastener(fastener: Fastener, row: ExpectRow, space: Space) -> str:
    if wrong := _hardware(fastener, row):
        return wrong
    bare = row.count is not None or row.thread is not None or row.grade
    if (row.how_tight or not bare) and not _agree(row.how_tight, fastener, space):
        said = fastener.how_tight.written() or "nothing"
        return f"the source prints {row.how_tight.written()}, the block says {said}"
    if row.order and row.order not in (order_of(fastener), tuple(map(str, fastener.order))):
        order = order_text(fastener) or "nothing"
        return f"the source prints the order {', '.join(row.order)}, the block says {order}"
    return ""


def _count(thing: Fastener | Part | Connection, row: ExpectRow) -> str:
    if row.count is None or row.count == thing.count:
        return ""
    return f"the source prints {row.count} of them, the block has a count of {thing.count}"


def _hardware(fastener: Fastener, row: ExpectRow) -> str:
    """Return what disagrees of count, thread and class; "" when all that is printed agrees."""
    if wrong := _count(fastener, row):
        return wrong
    thread = fastener.thread
    if row.thread is not None and (thread is None or thread.thread != row.thread):
        said = thread.written if thread else "no thread"
        return f"the source prints the thread {row.thread}, the block says {said}"
    if row.grade and row.grade.casefold() != fastener.class_.casefold():
        said = fastener.class_ or "no class"
        return f"the source prints the class {row.grade}, the block says {said}"
    return ""


def _agree(printed: HowTight, fastener: Fastener, space: Space) -> bool:
    """Tell whether what a source prints agrees with the block on all cars that it is for."""
    nothing: tuple[tuple[Condition, Stages], ...] = ((ALWAYS, ()),)
    for when, stages in printed.by_condition or nothing:
        cars = space.region(fastener.when) & space.region(when)
        block = [
            own
            for condition, own in fastener.how_tight.by_condition or nothing
            if cars & space.region(condition)
        ]
        if not block or not all(_stages_agree(stages, own) for own in block):
            return False
    return True


def _stages_agree(printed: tuple[Stage, ...], block: tuple[Stage, ...]) -> bool:
    if not any(stage.kind in _UNSAID for stage in printed):
        block = tuple(stage for stage in block if stage.kind not in _UNSAID)
    pairs = zip(printed, block, strict=False)
    return len(printed) == len(block) and all(_stage_agrees(p, b) for p, b in pairs)


def _plain(words: str) -> str:
    return " ".join(words.casefold().split())


def _stage_agrees(printed: Stage, block: Stage) -> bool:
    if printed.amount is None or block.amount is None:
        same = printed.kind is block.kind and printed.amount is block.amount
        return same and _plain(printed.words) == _plain(block.words)
    return printed.kind is block.kind and agrees(printed.amount, block.amount)
