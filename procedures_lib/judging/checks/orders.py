"""Tightening: the order of a joint against its positions, its count and its shape."""

from __future__ import annotations

from collections.abc import Iterator

from procedures_lib.engineering.tightening import StageKind
from procedures_lib.engineering.tightening.order_proposal import propose
from procedures_lib.engineering.tightening.pattern import Fault, judge_order
from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.mentions import whole_things
from procedures_lib.language.entities.car import ORDER_PATTERNS, Fastener
from procedures_lib.language.reading.page import Scalar
from procedures_lib.manual import Manual
from procedures_lib.spelling import nearest

_EACH_ONCE = "name every position once in the order"


def orders(manual: Manual, page: str) -> Iterator[Finding]:
    """Find orders that leave a fastener out, name one twice, or do not fit the count."""
    for fastener in whole_things(manual, page, Fastener):
        yield from _positions(fastener)
        for each in fastener.variants:
            for said, order in _orders_of(each).values():
                yield from _judge(each, said, order)
            yield from _only(each)


def _orders_of(fastener: Fastener) -> dict[int, tuple[str, tuple[str, ...]]]:
    """The written orders, each with its name in words, by stage; 0 is that of the group."""
    orders: dict[int, tuple[str, tuple[str, ...]]] = {}
    if not fastener.pattern:
        orders[0] = f"the order of `{fastener.id}`", fastener.order
    for n, stage in enumerate(fastener.tighten, start=1):
        if stage.order and stage.order[0] not in ORDER_PATTERNS and not stage.only:
            orders[n] = f"the order of stage {n} of `{fastener.id}`", stage.order
    return {n: named for n, named in orders.items() if named[1]}


def _positions(fastener: Fastener) -> Iterator[Finding]:
    found = len(fastener.positions)
    if found and found != fastener.count:
        said = f"`{fastener.id}` has {_many(found, 'position')}, but its count is {fastener.count}"
        hint = "give each fastener of the group one position, or put the count right"
        yield Finding(fastener.place, "order-count", said, hint)


def _judge(fastener: Fastener, said: str, order: tuple[str, ...]) -> Iterator[Finding]:
    again = _named_again(order)
    for name in again.values():
        yield Finding(_place(fastener, name), "order-repeats", f"{said} names `{name}` twice",
                      f"{_EACH_ONCE}; a second round is a stage of its own")  # fmt: skip
    if fastener.positions:
        yield from _against_positions(fastener, said, order)
    elif not again and len(order) != fastener.count:
        message = f"{said} has {_many(len(order), 'name')}, but the count is {fastener.count}"
        yield Finding(_place(fastener, order[0]), "order-count", message,
                      "name each fastener of the group once, or put the count right")  # fmt: skip


def _only(fastener: Fastener) -> Iterator[Finding]:
    """Find stages for some positions that name one twice, or one that is not there."""
    known = [name for name, _ in fastener.positions]
    known = known or [str(name) for name in fastener.order if not fastener.pattern]
    for n, stage in enumerate(fastener.tighten, start=1):
        said = f"`only` of stage {n} of `{fastener.id}`"
        for name in _named_again(stage.only).values():
            yield Finding(_place(fastener, name), "order-repeats", f"{said} names `{name}` twice",
                          "name each position once")  # fmt: skip
        strange = [name for name in dict.fromkeys(stage.only) if known and name not in known]
        if strange:
            near = nearest(strange[0], known)
            yield Finding(_place(fastener, strange[0]), "order-incomplete",
                          f"{said} names {_listed(strange)}, which no position is called",
                          f"did you mean `{near}`?" if near else
                          f"positions: {', '.join(known)}")  # fmt: skip
        elif len(stage.only) > fastener.count:
            message = f"{said} has {_many(len(stage.only), 'name')}, but the count is"
            yield Finding(_place(fastener, stage.only[0]), "order-count",
                          f"{message} {fastener.count}", "put one of the two right")  # fmt: skip
        if stage.only and stage.order and set(stage.only) != set(stage.order):
            yield Finding(_place(fastener, stage.order[0]), "order-incomplete",
                          f"the order of stage {n} of `{fastener.id}` and its `only` name"
                          " different positions", "name the same in both")  # fmt: skip


def _named_again(order: tuple[str, ...]) -> dict[str, str]:
    """Return the names that stand more than once, each as it stands the second time."""
    seen: set[str] = set()
    again: dict[str, str] = {}
    for name in order:
        if name in seen:
            again.setdefault(name, name)
        seen.add(name)
    return again


def _against_positions(fastener: Fastener, said: str, order: tuple[str, ...]) -> Iterator[Finding]:
    known = dict.fromkeys(name for name, _ in fastener.positions)
    named = set(order)
    left_out = [name for name in known if name not in named]
    strange = [name for name in dict.fromkeys(order) if name not in known]
    if strange:
        have = "which has no position" if len(strange) == 1 else "which have no position"
        near = nearest(strange[0], left_out) if len(strange) == 1 else ""
        left_out = [name for name in left_out if name != near]
        hint = f"did you mean `{near}`?" if near else "give every name a position, in mm"
        yield Finding(_place(fastener, strange[0]), "order-incomplete",
                      f"{said} names {_listed(strange)}, {have}", hint)  # fmt: skip
    if left_out:
        yield Finding(_place(fastener, order[0]), "order-incomplete",
                      f"{said} leaves out {_listed(left_out)}", _EACH_ONCE)  # fmt: skip


def _place(fastener: Fastener, name: str) -> Place:
    """The line of a name in an order or of a position; the fastener's own without one."""
    return Place(fastener.place.page, name.line) if isinstance(name, Scalar) else fastener.place


def _listed(names: list[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def _many(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


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
    for fastener in whole_things(manual, page, Fastener):
        yield from _same_positions(fastener)
        for each in fastener.variants if fastener.takes_torque else ():
            yield from _patterns(each)


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
    orders = _orders_of(fastener)
    loading = list(_loading_stages(fastener))
    if not fastener.tighten or any(not fastener.tighten[n - 1].order for n in loading):
        loading.append(0)
    yield from (named for n, named in orders.items() if n in loading)


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
