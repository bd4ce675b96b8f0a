"""Faults in a tightening order: a bolt twice, a bolt missing, two the wrong way round."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from procedures_lib.language.entities.car import Fastener
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.demo import Demo
    from tests.faults.spots import Spot


def orders(demo: Demo) -> Iterator[tuple[Source, str, Spot]]:
    """Yield each order that names its bolts: what it belongs to, and the mapping it stands in."""
    for source, fastener in demo.entities(Fastener):
        whole = source.spot_of(fastener)
        if len(whole.texts("order")) > 1:
            yield source, fastener.id, whole
        for n, stage in enumerate(whole.texts("tighten"), start=1):
            if len(stage.texts("order")) > 1:
                yield source, f"{fastener.id}, stage {n}", stage


@kind("repeat a bolt in an order")
def repeated(demo: Demo) -> Iterator[Fault]:
    """Name a bolt again in the place of the next one, and once more at the end."""
    for source, owner, whole in orders(demo):
        names = whole.texts("order")
        for one, two in pairwise(names):
            what = f"{owner}: `{one.value}` in place of `{two.value}`"
            yield Fault(source.name, what, (Edit(two.start, two.end, one.value),))
        last, first = names[-1], names[0]
        edit = Edit(last.end, last.end, f", {first.value}")
        yield Fault(source.name, f"{owner}: `{first.value}` again at the end", (edit,))


@kind("drop a bolt from an order")
def dropped(demo: Demo) -> Iterator[Fault]:
    """Leave a bolt out of an order."""
    for source, owner, whole in orders(demo):
        for n, name in enumerate(whole.texts("order")):
            edit = source.without(whole, "order", n)
            yield Fault(source.name, f"{owner}: drop `{name.value}`", (edit,))


@kind("drop a bolt from the positions")
def without_position(demo: Demo) -> Iterator[Fault]:
    """Leave a bolt out of the drawing."""
    for source, fastener in demo.entities(Fastener):
        positions = source.spot_of(fastener).get("positions")
        for key, _ in positions.entries if positions else ():
            what = f"{fastener.id}: drop the position of `{key.value}`"
            yield Fault(source.name, what, (source.without(positions or key, key.value),))


@kind("swap two bolts in an order")
def swapped(demo: Demo) -> Iterator[Fault]:
    """Have two neighbours in an order change places."""
    for source, owner, whole in orders(demo):
        names = whole.texts("order")
        for one, two in pairwise(names):
            edits = (Edit(one.start, one.end, two.value), Edit(two.start, two.end, one.value))
            yield Fault(source.name, f"{owner}: swap `{one.value}` and `{two.value}`", edits)
