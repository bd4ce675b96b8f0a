"""Faults in numbers: another unit, another digit, no unit, stages in another order."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from procedures_lib.engineering.quantities import Quantity, QuantityError, read_quantity
from procedures_lib.engineering.tightening import StageKind, read_stage
from procedures_lib.language.entities.car import Fastener, Fluid
from tests.faults.joints import NEVER_TIGHTENED, is_tightened
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.entity import Entity
    from procedures_lib.language.entities.work import Expect
    from tests.faults.demo import Demo
    from tests.faults.kinds import Seeder
    from tests.faults.spots import Spot

CHANGED_UNITS = {
    "N·m ↔ lbf·ft": {"N·m": "lbf·ft", "lbf·ft": "N·m"},
    "lbf·in ↔ lbf·ft": {"lbf·in": "lbf·ft", "lbf·ft": "lbf·in"},
}
AS_PRINTED = "it agrees with the other figure as well, which is rounded to that"
ROUNDING = 0.055
"""The most by which a figure may change and still be the one printed: 20 N·m, 15 lbf·ft, 21 N·m."""


@dataclass(frozen=True, slots=True)
class Number:
    """A quantity of a joint or fluid as it stands: in its block, or typed again in double entry.

    ``rows`` are the rows of double entry that repeat it.
    """

    source: Source
    entity: Entity
    where: str
    spot: Spot
    amount: Quantity
    rows: tuple[tuple[str, Edit], ...]

    @property
    def what(self) -> str:
        """The number in words."""
        return f"{self.where} {self.entity.id}: `{self.spot.value}`"

    def rewritten(self, old: str, new: str, what: str) -> Fault:
        """Write ``new`` for the last ``old`` in it."""
        at = self.source.text.rindex(old, self.spot.start, self.spot.end)
        return Fault(self.source.name, f"{self.what} {what}", (Edit(at, at + len(old), new),))


def numbers(demo: Demo) -> Iterator[Number]:
    """Yield every torque, angle and volume of the demo's joints and fluids."""
    rows = rows_of(demo)
    for source, entity in (*demo.entities(Fastener), *demo.entities(Fluid)):
        repeats = tuple(rows.get((entity.place.page, entity.id), ()))
        for spot in _amounts(source.spot_of(entity)):
            if amount := _amount(spot.value):
                yield Number(source, entity, "block", spot, amount, repeats)
    for source, expect, key, spot in _rows(demo):
        known = demo.manual.scope(source.name).get(key.value)
        repeats = ((source.name, _without_row(source, expect, key)),)
        for part in _parts(spot):
            amount = _amount(part.value)
            if amount and known:
                yield Number(source, known, "source", part, amount, repeats)


def rows_of(demo: Demo) -> dict[tuple[str, str], list[tuple[str, Edit]]]:
    """Return, for each thing (page and id), the edits that take its double entry out."""
    found: dict[tuple[str, str], list[tuple[str, Edit]]] = {}
    for source, expect, key, _ in _rows(demo):
        entity = demo.manual.scope(source.name).get(key.value)
        if entity is not None:
            edit = source.name, _without_row(source, expect, key)
            found.setdefault((entity.place.page, entity.id), []).append(edit)
    return found


def _rows(demo: Demo) -> Iterator[tuple[Source, Expect, Spot, Spot]]:
    for source in demo.sources.values():
        for expect in source.content.expects:
            for key, spot in source.spots(source.blocks[expect.place.line]).entries:
                yield source, expect, key, spot


def _without_row(source: Source, expect: Expect, key: Spot) -> Edit:
    """Take a row out, and the block with its last one."""
    block = source.blocks[expect.place.line]
    whole = source.spots(block)
    if len(whole.entries) == 1:
        return Edit(*source.rows(block.place.line, block.end))
    return source.without(whole, key.value)


def _amounts(entity: Spot) -> Iterator[Spot]:
    """Yield the stages of a joint, and the quantity of a fluid."""
    for spot in entity.texts("tighten"):
        yield spot if spot.value else (spot.get("stage") or spot)
    yield from entity.texts("quantity")


def _parts(spot: Spot) -> Iterator[Spot]:
    """Yield what stands between the commas of a row, up to its order."""
    if not spot.value:
        yield from spot.items
        return
    at = spot.start
    for text in spot.value.split(","):
        if text.strip().startswith("order "):
            return
        start = at + len(text) - len(text.lstrip())
        yield type(spot)(start, at + len(text.rstrip()), text.strip())
        at += len(text) + 1


def _amount(text: str) -> Quantity | None:
    try:
        return read_stage(text).amount
    except QuantityError:
        pass
    try:
        return read_quantity(text, "volume")
    except QuantityError:
        return None


# -- units -----------------------------------------------------------------------------------------


def _typed_once(demo: Demo, number: Number, fault: Fault) -> Fault | None:
    """The fault in a joint without double entry: where there is some, it is taken out as well."""
    if number.where != "block":
        return None
    reason = "" if is_tightened(demo, number.entity) else NEVER_TIGHTENED
    return Fault(fault.page, f"{fault.what}, typed once", fault.edits, reason, number.rows)


def _with_other_unit(change: dict[str, str], *, twice: bool) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for number in numbers(demo):
            new = change.get(number.amount.unit)
            if new is None or number.amount.unit not in number.spot.value:
                continue
            fault = number.rewritten(number.amount.unit, new, f"in {new}")
            if twice and number.rows:
                yield fault
            elif not twice and (once := _typed_once(demo, number, fault)):
                yield once

    return seed


for _pair, _change in CHANGED_UNITS.items():
    kind(f"{_pair}, under double entry")(_with_other_unit(_change, twice=True))
    kind(f"{_pair}, typed once")(_with_other_unit(_change, twice=False))


@kind("drop a unit")
def without_unit(demo: Demo) -> Iterator[Fault]:
    """Leave the unit of a number out."""
    for number in numbers(demo):
        unit = number.amount.unit
        if unit in number.spot.value:
            yield number.rewritten(unit, "", "without its unit")


# -- digits ----------------------------------------------------------------------------------------


def _other_digits(number: Number) -> Iterator[Fault]:
    """Yield the number with one digit changed, each in turn: one up, 9 to 8."""
    quoted = int(number.source.text[number.spot.start] in "\"'")
    text = number.spot.value
    for n, sign in enumerate(text):
        if not (sign.isascii() and sign.isdigit()):
            continue
        digit = "8" if sign == "9" else str(int(sign) + 1)
        written = f"{text[:n]}{digit}{text[n + 1 :]}"
        at = number.spot.start + n + quoted
        reason = AS_PRINTED if _is_near(number.amount, _amount(written)) else ""
        edit = Edit(at, at + 1, digit)
        yield Fault(number.source.name, f"{number.what} as `{written}`", (edit,), reason)


def _is_near(one: Quantity, two: Quantity | None) -> bool:
    if two is None:
        return False
    pairs = ((float(one.low), float(two.low)), (float(one.high), float(two.high)))
    return all(abs(a - b) <= ROUNDING * a for a, b in pairs)


def _with_other_digit(quantity: str, *, twice: bool) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for number in numbers(demo):
            if number.amount.kind != quantity:
                continue
            for fault in _other_digits(number):
                if twice and number.rows:
                    yield fault
                elif not twice and (once := _typed_once(demo, number, fault)):
                    yield once

    return seed


for _a, _quantity in (("a", "torque"), ("an", "angle"), ("a", "volume")):
    _name = f"another digit of {_a} {_quantity}"
    kind(f"{_name}, under double entry")(_with_other_digit(_quantity, twice=True))
    kind(f"{_name}, typed once")(_with_other_digit(_quantity, twice=False))


# -- stages ----------------------------------------------------------------------------------------

BY_HAND = "screwed in by hand it is in any case, before a wrench is put on"


@kind("swap two stages")
def swapped_stages(demo: Demo) -> Iterator[Fault]:
    """Have two stages of a joint change places."""
    for source, fastener in demo.entities(Fastener):
        spots = source.spot_of(fastener).texts("tighten")
        for one, two in pairwise(spots):
            first, second = (source.text[spot.start : spot.end] for spot in (one, two))
            edits = (Edit(one.start, one.end, second), Edit(two.start, two.end, first))
            reason = "" if is_tightened(demo, fastener) else NEVER_TIGHTENED
            what = f"{fastener.id}: swap the stages {first} and {second}"
            yield Fault(source.name, what, edits, reason)


@kind("drop a stage")
def dropped_stage(demo: Demo) -> Iterator[Fault]:
    """Leave out a stage of a joint that has several."""
    for source, fastener in demo.entities(Fastener):
        whole = source.spot_of(fastener)
        spots = whole.texts("tighten")
        for n, spot in enumerate(spots if len(spots) > 1 else ()):
            text = source.text[spot.start : spot.end]
            reason = "" if is_tightened(demo, fastener) else NEVER_TIGHTENED
            if spot.value == StageKind.HAND:
                reason = BY_HAND
            edit = source.without(whole, "tighten", n)
            yield Fault(source.name, f"{fastener.id}: drop the stage {text}", (edit,), reason)
