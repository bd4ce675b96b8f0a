"""Tightening: orders that go round instead of across, and positions that can't be drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import ORDER_PATTERNS, TORQUE_FREE_KINDS, Fastener
from procedures_lib.findings import Finding, Place
from procedures_lib.reading.scalar import Scalar
from procedures_lib.tightening import StageKind
from procedures_lib.tightening.orders import propose
from procedures_lib.tightening.pattern_judging import Fault, judge_order

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual

_SHOWN_WHOLE = 12
"""The longest order that a hint writes out."""

_SAID = {
    Fault.ROUND: (
        "order-not-cross",
        "goes round the circle, each fastener after its neighbour",
        "work across the middle",
    ),
    Fault.FROM_ONE_END: (
        "order-not-centre-out",
        "runs from one end to the other",
        "work from the middle to the ends",
    ),
}


def order_patterns(manual: Manual, page: str) -> Iterator[Finding]:
    """Find orders that go round a circle, or along a row from one end."""
    for entity in manual.contents[page].entities:
        if isinstance(entity, Fastener) and not manual.is_damaged(entity):
            yield from _same_positions(entity)
            if entity.kind not in TORQUE_FREE_KINDS:
                yield from _patterns(entity)


def drawings(manual: Manual, page: str) -> Iterator[Finding]:
    """Find drawings that are asked of fasteners without positions."""
    scope = manual.scope(page)
    for derived in manual.contents[page].derived:
        if derived.block.name != "order-drawing":
            continue
        fastener = scope.of(Fastener, str(derived.block.argument))
        if fastener and not fastener.positions and not manual.is_damaged(fastener):
            said = f"`{fastener.id}` has no positions to draw"
            yield Finding(derived.block.place, "no-positions", said,
                          "add `positions: {name: [x, y], …}` to the fastener, in mm, or drop the "
                          "drawing", related=(fastener.place,))  # fmt: skip


def _same_positions(fastener: Fastener) -> Iterator[Finding]:
    seen: dict[tuple[float, float], str] = {}
    for name, at in fastener.positions:
        if at in seen:
            said = f"`{fastener.id}` has `{seen[at]}` and `{name}` at one place"
            yield Finding(_place(fastener, name), "same-position", said,
                          "give each fastener the place where it is seen, in mm")  # fmt: skip
        seen.setdefault(at, name)


def _patterns(fastener: Fastener) -> Iterator[Finding]:
    positions = dict(fastener.positions)
    for said, order in _orders_that_load(fastener):
        fault = judge_order(positions, order)
        if fault is not None:
            check, wrong, better = _SAID[fault]
            word, names = propose(positions)
            whole = f"`order: [{', '.join(names)}]`, or " if len(names) <= _SHOWN_WHOLE else ""
            hint = f"{better}: {whole}`order: {word}`, unless the source prints this order"
            yield Finding(_place(fastener, order[0]), check, f"{said} {wrong}", hint)


def _orders_that_load(fastener: Fastener) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield each written order by which clamp load grows, once, with its name in words."""
    group = (f"the order of `{fastener.id}`", () if fastener.pattern else fastener.order)
    if not fastener.tighten and group[1]:
        yield group
    told = False
    for n in _loading_stages(fastener):
        own = fastener.tighten[n - 1].order
        if own and own[0] not in ORDER_PATTERNS:
            yield f"the order of stage {n} of `{fastener.id}`", own
        elif not own and group[1] and not told:
            told = True
            yield group


def _loading_stages(fastener: Fastener) -> Iterator[int]:
    """Yield the numbers of the stages by which clamp load grows.

    Not by hand or until parts touch; not a torque that an earlier stage has reached already, which
    is a second look, and goes round (ASME PCC-1).
    """
    reached = 0.0
    for n, stage in enumerate(fastener.tighten, start=1):
        if stage.kind is StageKind.BACK_OFF:
            reached = 0.0
        elif stage.kind is StageKind.ANGLE:
            yield n
        elif stage.kind is StageKind.TORQUE and stage.amount is not None:
            torque = float(stage.amount.exact_nominal("N·m"))
            if torque > reached:
                yield n
            reached = max(reached, torque)


def _place(fastener: Fastener, name: str) -> Place:
    """The line of a name; the fastener's own when the name does not carry one."""
    return Place(fastener.place.page, name.line) if isinstance(name, Scalar) else fastener.place
