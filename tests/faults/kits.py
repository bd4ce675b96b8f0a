"""Faults on a kit's page: what is in the box, what it replaces, which cars it fits, its needs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.kit import Kit
from tests.faults.kinds import Fault, Severity, kind
from tests.faults.likeness import similar
from tests.faults.source import Edit, Source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.demo import Demo
    from tests.faults.spots import Spot


def kits(demo: Demo) -> Iterator[tuple[Source, Kit, Spot]]:
    """Yield every kit with its page and its fields."""
    for source, kit in demo.entities(Kit):
        assert isinstance(kit, Kit)
        yield source, kit, source.spot_of(kit)


def items(demo: Demo) -> Iterator[tuple[Source, Spot, int, Spot, str]]:
    """Yield every line of every packing list: page, fields of the kit, number, line, name."""
    for source, kit, whole in kits(demo):
        contents = whole.get("contents")
        for n, spot in enumerate(contents.items if contents else ()):
            yield source, whole, n, spot, str(kit.contents[n].what)


def _value(source: Source, owner: str, spot: Spot, new: str, *touches: str) -> Fault:
    what = f"{owner}: `{new}` for `{spot.value}`"
    return Fault(source.name, what, (Edit(spot.start, spot.end, new),), touches or (owner,))


@kind("drop an item from the box", Severity.WASTES, rises=False)
def dropped_item(demo: Demo) -> Iterator[Fault]:
    """Leave a line of the packing list out."""
    for source, whole, n, _, name in items(demo):
        edit = source.without(whole, "contents", n)
        yield Fault(source.name, f"contents: drop `{name}`", (edit,), (name,))


@kind("wrong quantity in the box", Severity.WASTES, rises=False)
def other_quantity(demo: Demo) -> Iterator[Fault]:
    """Count one more or one fewer, or leave the number or the spare out."""
    for source, _, _, spot, name in items(demo):
        for key in ("qty", "spare"):
            count = spot.get(key)
            if count is None:
                continue
            yield _value(source, f"{name}, {key}", count, str(int(count.value) + 1))
            if int(count.value) > 1:
                yield _value(source, f"{name}, {key}", count, str(int(count.value) - 1))
            edit = source.without(spot, key)
            yield Fault(source.name, f"{name}: no {key}", (edit,), (name,))


@kind("wrong `replaces`")
def other_replaced(demo: Demo) -> Iterator[Fault]:
    """Say that an item replaces a similar thing, or nothing."""
    for source, _, _, item, name in items(demo):
        spot = item.get("replaces")
        if spot is None:
            continue
        for new in similar(demo, source.name, spot.value):
            if new != name:
                yield _value(source, f"{name}, replaces", spot, new, name, spot.value)
        edit = source.without(item, "replaces")
        yield Fault(source.name, f"{name}: replaces nothing", (edit,), (name, spot.value))


@kind("wrong `returns`", Severity.WASTES, rises=False)
def other_return(demo: Demo) -> Iterator[Fault]:
    """Leave out what the customer gets back, or name a similar thing."""
    for source, _, whole in kits(demo):
        parts = whole.texts("returns")
        for n, spot in enumerate(parts):
            edit = source.without(whole, "returns", n)
            yield Fault(source.name, f"returns: drop `{spot.value}`", (edit,), (spot.value,))
            for new in similar(demo, source.name, spot.value, tuple(p.value for p in parts)):
                yield _value(source, "returns", spot, new, spot.value)


@kind("wrong `fits`: car or years")
def other_car(demo: Demo) -> Iterator[Fault]:
    """Name another vehicle, or years that begin or end otherwise, or none."""
    vehicles = [vehicle.id for _, vehicle in demo.entities(Vehicle)]
    for source, kit, whole in kits(demo):
        fits = whole.get("fits")
        car, years = (fits.get("vehicle"), fits.get("years")) if fits else (None, None)
        for new in vehicles if car else ():
            if car and new != car.value:
                yield _value(source, "fits", car, new, kit.id, source.name)
        if fits and years:
            first, _, last = years.value.partition("-")
            for new in (f"{int(first) - 1}-{last}", f"{first}-{int(last) + 1}",
                        f"{int(first) + 1}-{last}", f"{last}-{first}"):  # fmt: skip
                yield _value(source, "years", years, new, source.name)
            edit = source.without(fits, "years")
            yield Fault(source.name, "no years", (edit,), (source.name,))
    for source, vehicle in demo.entities(Vehicle):
        spot = source.spot_of(vehicle).get("years")
        if spot:
            first, _, last = spot.value.partition("-")
            for new in (f"{first}-{int(last) - 1}", f"{int(first) + 1}-{last}"):
                yield _value(source, f"{vehicle.id}, years", spot, new)


@kind("wrong calibration")
def other_calibration(demo: Demo) -> Iterator[Fault]:
    """Exchange two values of the map, leave one or all out, mistype one."""
    for source, _, whole in kits(demo):
        needs = whole.get("needs")
        found = needs.get("calibration") if needs else None
        if found is None or needs is None:
            continue
        yield Fault(source.name, "no calibration", (source.without(needs, "calibration"),))
        if found.value:
            yield _value(source, "calibration", found, f"{found.value[:-2]}{found.value[:-3:-1]}")
        for key, value in found.entries:
            edit = source.without(found, key.value)
            yield Fault(source.name, f"calibration: none for {key.value}", (edit,))
            new = f"{value.value[:-2]}{value.value[:-3:-1]}"
            yield _value(source, f"calibration, {key.value}", value, new)
        if len(found.entries) > 1:
            (_, one), (_, two) = found.entries[:2]
            edits = (Edit(one.start, one.end, two.value), Edit(two.start, two.end, one.value))
            yield Fault(source.name, "calibration: the two exchanged", edits)


@kind("wrong fuel or emissions")
def other_fuel(demo: Demo) -> Iterator[Fault]:
    """Ask for another fuel or none, or leave the label out."""
    for source, _, whole in kits(demo):
        needs = whole.get("needs")
        fuel = needs.get("fuel") if needs else None
        if fuel and needs:
            yield _value(
                source, "fuel", fuel, fuel.value.replace("93", "91").replace("AKI", "RON"), ""
            )
            yield _value(source, "fuel", fuel, f"8{fuel.value[1:]}", "")
            yield Fault(source.name, "no fuel", (source.without(needs, "fuel"),))
        if whole.get("emissions"):
            edit = source.without(whole, "emissions")
            yield Fault(source.name, "no emissions", (edit,), severity=Severity.WASTES)


HEAD = (
    "vehicle",
    "kit",
    "begins-with",
    "ends-with",
    "hazards",
    "revision",
    "reviewed",
    "procedures",
)


@kind("wrong head of a procedure or job")
def other_head(demo: Demo) -> Iterator[Fault]:
    """Name another kit or car, hand on or take over other things, leave a field out."""
    names = {"kit": [k.id for _, k in demo.entities(Kit)],
             "vehicle": [v.id for _, v in demo.entities(Vehicle)]}  # fmt: skip
    for source in demo.pages("procedures", "jobs", "common"):
        for block in source.blocks.values():
            if block.name not in {"procedure", "job", "common"}:
                continue
            whole = source.spots(block)
            for key in HEAD:
                value = whole.get(key)
                if value is None:
                    continue
                worst = Severity.WASTES if key in {"revision", "reviewed"} else None
                what = f"{block.argument}: no {key}"
                yield Fault(source.name, what, (source.without(whole, key),), (key,), worst)
                for new in names.get(key, ()):
                    if value.value and new != value.value:
                        yield _value(source, key, value, new, str(block.argument))
                for n, spot in enumerate(whole.texts(key) if value.items else ()):
                    what = f"{block.argument}, {key}: drop `{spot.value}`"
                    edit = source.without(whole, key, n)
                    yield Fault(source.name, what, (edit,), (spot.value, key))
