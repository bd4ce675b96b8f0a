"""Faults in numbers: another unit, another digit, no unit, stages in another order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener, Fluid
from procedures_lib.quantities import Quantity, read_quantity
from procedures_lib.tightening import StageError, read_stage
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.demo import Demo
    from tests.faults.kinds import Seeder
    from tests.faults.spots import Spot

CHANGED_UNITS = {
    "N·m ↔ lbf·ft": {"N·m": "lbf·ft", "lbf·ft": "N·m"},
    "lbf·in ↔ lbf·ft": {"lbf·in": "lbf·ft", "lbf·ft": "lbf·in"},
}
PLAUSIBLE = "the tightening checks (later)"


@dataclass(frozen=True, slots=True)
class Number:
    """A quantity of a joint or fluid as it stands: in its block, or typed again in double entry."""

    source: Source
    owner: str
    where: str
    spot: Spot
    amount: Quantity
    twice: bool

    @property
    def what(self) -> str:
        """The number in words."""
        return f"{self.where} {self.owner}: `{self.spot.value}`"

    def rewritten(self, old: str, new: str, what: str) -> Fault:
        """Write ``new`` for the last ``old`` in it."""
        at = self.source.text.rindex(old, self.spot.start, self.spot.end)
        return Fault(self.source.name, f"{self.what} {what}", (Edit(at, at + len(old), new),))


def typed_twice(demo: Demo) -> frozenset[str]:
    """The ids of joints and fluids that stand in some row of double entry."""
    rows = (r for s in demo.sources.values() for e in s.content.expects for r in e.rows)
    return frozenset(str(row.id) for row in rows)


def numbers(demo: Demo) -> Iterator[Number]:
    """Yield every torque, angle and volume of the demo's joints and fluids."""
    twice = typed_twice(demo)
    for source, fastener in demo.entities(Fastener):
        for spot in stage_spots(source.spot_of(fastener)):
            if amount := _of_stage(spot.value):
                known = fastener.id in twice
                yield Number(source, fastener.id, "block", spot, amount, known)
    for source, fluid in demo.entities(Fluid):
        spot = source.spot_of(fluid).get("quantity")
        if spot:
            amount = read_quantity(spot.value, "volume")
            yield Number(source, fluid.id, "block", spot, amount, fluid.id in twice)
    for source in demo.sources.values():
        yield from _typed_again(source)


def stage_spots(fastener: Spot) -> Iterator[Spot]:
    """Yield the stages of a fastener's block, as they stand."""
    for spot in fastener.texts("tighten"):
        yield spot if spot.value else (spot.get("stage") or spot)


def _of_stage(text: str) -> Quantity | None:
    try:
        return read_stage(text).amount
    except StageError:
        return None


def _typed_again(source: Source) -> Iterator[Number]:
    for expect in source.content.expects:
        block = source.blocks[expect.place.line]
        for key, spot in source.spots(block).entries:
            for part in _parts(spot):
                amount = _of_stage(part.value) or _volume(part.value)
                if amount:
                    yield Number(source, key.value, "source", part, amount, twice=True)


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


def _volume(text: str) -> Quantity | None:
    return read_quantity(text, "volume") if text.endswith(("L", "qt", "mL")) else None


# -- units -----------------------------------------------------------------------------------------


def _with_other_unit(change: dict[str, str], twice: bool) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for number in numbers(demo):
            new = change.get(number.amount.unit)
            if new and number.twice is twice and number.amount.unit in number.spot.value:
                yield number.rewritten(number.amount.unit, new, f"in {new}")

    return seed


for _pair, _change in CHANGED_UNITS.items():
    kind(f"{_pair}, under double entry")(_with_other_unit(_change, True))
    kind(f"{_pair}, typed once", PLAUSIBLE)(_with_other_unit(_change, False))


@kind("drop a unit")
def without_unit(demo: Demo) -> Iterator[Fault]:
    """Leave the unit of a number out."""
    for number in numbers(demo):
        unit = number.amount.unit
        if unit in number.spot.value:
            yield number.rewritten(unit, "", "without its unit")


# -- digits ----------------------------------------------------------------------------------------


def other_digits(text: str) -> Iterator[tuple[int, str]]:
    """Yield (place, digit) for every digit of a text, each one up: 9 becomes 8."""
    for n, sign in enumerate(text):
        if sign.isascii() and sign.isdigit():
            yield n, "8" if sign == "9" else str(int(sign) + 1)


def _with_other_digit(quantity: str, twice: bool) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for number in numbers(demo):
            if number.amount.kind != quantity or number.twice is not twice:
                continue
            for n, digit in other_digits(number.spot.value):
                written = f"{number.spot.value[:n]}{digit}{number.spot.value[n + 1 :]}"
                at = number.spot.start + n + _quote(number)
                edit = Edit(at, at + 1, digit)
                yield Fault(number.source.name, f"{number.what} as `{written}`", (edit,))

    return seed


def _quote(number: Number) -> int:
    """One when the value stands in quotes, which are no part of it."""
    return int(number.source.text[number.spot.start] in "\"'")


for _a, _quantity in (("a", "torque"), ("an", "angle"), ("a", "volume")):
    _name = f"another digit of {_a} {_quantity}, under double entry"
    kind(_name)(_with_other_digit(_quantity, True))
kind("another digit of a torque, typed once", PLAUSIBLE)(_with_other_digit("torque", False))
kind("another digit of an angle, typed once", PLAUSIBLE)(_with_other_digit("angle", False))
kind("another digit of a volume, typed once")(_with_other_digit("volume", False))


# -- stages ----------------------------------------------------------------------------------------


@kind("swap two stages")
def swapped_stages(demo: Demo) -> Iterator[Fault]:
    """Have two stages of a joint change places."""
    for source, fastener in demo.entities(Fastener):
        spots = source.spot_of(fastener).texts("tighten")
        for one, two in zip(spots, spots[1:], strict=False):
            text = source.text
            edits = (
                Edit(one.start, one.end, text[two.start : two.end]),
                Edit(two.start, two.end, text[one.start : one.end]),
            )
            what = f"{fastener.id}: swap the stages {text[one.start : two.end]}"
            yield Fault(source.name, what, edits)


@kind("drop a stage")
def dropped_stage(demo: Demo) -> Iterator[Fault]:
    """Leave out a stage of a joint that has several."""
    for source, fastener in demo.entities(Fastener):
        whole = source.spot_of(fastener)
        spots = whole.texts("tighten")
        for n, spot in enumerate(spots):
            if len(spots) > 1:
                what = f"{fastener.id}: drop the stage {source.text[spot.start : spot.end]}"
                yield Fault(source.name, what, (source.without(whole, "tighten", n),))
