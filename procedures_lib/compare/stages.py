"""The stages of a joint in two states: is it the torque, the angle, or the stages as such?"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from procedures_lib.quantities import QuantityError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from procedures_lib.quantities import Quantity
    from procedures_lib.tightening import Stage

Stages = tuple["Stage", ...]


def topic_of(old: Stages, new: Stages) -> str:
    """Return ``torque`` or ``angle`` when only such amounts differ, else ``stages``.

    Stages that are all there for the first time, or all gone, count as a torque.
    """
    if not old or not new:
        return "torque"
    if [stage.kind for stage in old] != [stage.kind for stage in new]:
        return "stages"
    differ = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    if any(a.order != b.order for a, b in differ):
        return "order" if all(a.amount == b.amount for a, b in differ) else "stages"
    turned = [a.torque is None for a, _ in differ]
    return "angle" if all(turned) else "stages" if any(turned) else "torque"


def note_of(old: Stages, new: Stages) -> str:
    """Return by how much the stages differ: ``+10 %``, ``stage 1 +10 %, stage 2 ±0 %``.

    Per cent of the old nominal value, for amounts that both have a number and the same kind;
    a tolerance that changed around the same number is said as such.
    """
    if len(old) != len(new) or [s.kind for s in old] != [s.kind for s in new]:
        return "" if not old or not new else f"{_stages(old)} → {_stages(new)}"
    notes = list(_notes(old, new))
    if len(old) == 1:
        return notes[0][1] if notes else ""
    return ", ".join(f"stage {n} {note}" for n, note in notes)


def _stages(stages: Sequence[Stage]) -> str:
    return f"{len(stages)} stage{'' if len(stages) == 1 else 's'}"


def _notes(old: Stages, new: Stages) -> Iterator[tuple[int, str]]:
    for n, (a, b) in enumerate(zip(old, new, strict=True), start=1):
        if a.amount is not None and b.amount is not None and a.amount != b.amount:
            note = difference(a.amount, b.amount)
            if note:
                yield n, note


def difference(old: Quantity, new: Quantity) -> str:
    """Return by how much an amount differs, "" when that can't be said.

    ``+10 %``, of the old nominal value; ``same amount``; ``tolerance only``.
    """
    try:
        low, high = new.exact(old.unit)
        nominal = new.exact_nominal(old.unit)
    except QuantityError:
        return ""
    if nominal == old.nominal:
        return "same amount" if (low, high) == (old.low, old.high) else "tolerance only"
    if not old.nominal:
        return ""
    return per_cent(nominal / old.nominal - 1)


def per_cent(share: Fraction) -> str:
    """Return a share as per cent with its sign: ``+4.5 %``, ``−12 %``, ``+1,100 %``.

    One decimal below ten per cent, whole numbers above; what would be rounded to nothing is
    written with two significant figures.
    """
    value = float(share * 100)
    if abs(value) >= 9.95:
        text = f"{abs(value):,.0f}"
    elif abs(value) >= 0.05:
        text = f"{abs(value):.1f}".removesuffix(".0")
    else:
        text = f"{abs(value):.2g}"
    return f"{'+' if value > 0 else '−'}{text}\u00a0%"
