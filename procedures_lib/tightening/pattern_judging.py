"""Whether an order runs round a ring, or along a row from one end: what spoils a joint face."""

from __future__ import annotations

import enum
from itertools import pairwise
from typing import TYPE_CHECKING

from procedures_lib.tightening.pattern import Shape, pattern_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from procedures_lib.tightening.pattern import Pattern, Point

_LEAST_PLACES = {Shape.ROW: 4, Shape.TWO_ROWS: 3, Shape.LONG: 4}
"""How many places along its length a group must have; two far pairs are no row."""

_ABREAST = 0.02
"""How near, as a share of the length, two fasteners must be to stand abreast."""


class Fault(enum.StrEnum):
    """What is wrong with an order."""

    ROUND = "round"
    FROM_ONE_END = "from one end"


def judge_order(positions: Mapping[str, Point], order: Sequence[str]) -> Fault | None:
    """Return what is wrong with an order of positions (in mm), or None.

    Two orders are faults, and no others: once round a ring, each fastener after its neighbour; and
    along a row, two rows or another long group, from one end to the other. An order that does not
    name every position once is not judged.
    """
    if sorted(order) != sorted(positions):
        return None
    pattern = pattern_of(positions)
    if pattern.shape is Shape.RING:
        return Fault.ROUND if goes_round(pattern.rows[0], order) else None
    if pattern.along is not None and _from_one_end(pattern, order):
        return Fault.FROM_ONE_END
    return None


def goes_round(ring: Sequence[str], order: Sequence[str]) -> bool:
    """Tell whether an order takes the names of a ring one after the other, in either direction."""
    place = {name: n for n, name in enumerate(ring)}
    steps = {(place[two] - place[one]) % len(ring) for one, two in pairwise(order)}
    return steps in ({1}, {len(ring) - 1})


def _from_one_end(pattern: Pattern, order: Sequence[str]) -> bool:
    if _places(pattern) < _LEAST_PLACES[pattern.shape]:
        return False
    if _runs_one_way(pattern, order):
        return True
    if pattern.shape is not Shape.TWO_ROWS:
        return False
    return any(_row_by_row(pattern, first, order) for first in pattern.rows)


def _places(pattern: Pattern) -> int:
    """How many places there are on the long axis; fasteners abreast share one."""
    along = sorted((pattern.along or {}).values())
    return 1 + sum(b - a > _slack(pattern) for a, b in pairwise(along))


def _slack(pattern: Pattern) -> float:
    along = (pattern.along or {}).values()
    return _ABREAST * (max(along) - min(along))


def _row_by_row(pattern: Pattern, first: Sequence[str], order: Sequence[str]) -> bool:
    """Tell whether one row is done from end to end, and then the other."""
    one, two = order[: len(first)], order[len(first) :]
    return set(one) == set(first) and _runs_one_way(pattern, one) and _runs_one_way(pattern, two)


def _runs_one_way(pattern: Pattern, order: Sequence[str]) -> bool:
    """Tell whether an order never turns back on the long axis; those abreast count as one."""
    along, slack = pattern.along or {}, _slack(pattern)
    steps = [along[two] - along[one] for one, two in pairwise(order)]
    return all(step >= -slack for step in steps) or all(step <= slack for step in steps)
