"""Tightening: the order of a joint against the positions it has, and against its count."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import ORDER_PATTERNS, Fastener
from procedures_lib.findings import Finding, Place, nearest
from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual

_EACH_ONCE = "name every position once in the order"


def orders(manual: Manual, page: str) -> Iterator[Finding]:
    """Find orders that leave a fastener out, name one twice, or do not fit the count."""
    for entity in manual.contents[page].entities:
        if isinstance(entity, Fastener) and not manual.is_damaged(entity):
            yield from _positions(entity)
            for said, order in _orders_of(entity):
                if order:
                    yield from _judge(entity, said, order)


def _orders_of(fastener: Fastener) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the order of the group and those of single stages, each with its name in words."""
    if not fastener.pattern:
        yield f"the order of `{fastener.id}`", fastener.order
    for n, stage in enumerate(fastener.tighten, start=1):
        if stage.order and stage.order[0] not in ORDER_PATTERNS:
            yield f"the order of stage {n} of `{fastener.id}`", stage.order


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
    """The line of a name in the order; the fastener's own when the name does not carry one."""
    return Place(fastener.place.page, name.line) if isinstance(name, Scalar) else fastener.place


def _listed(names: list[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def _many(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
