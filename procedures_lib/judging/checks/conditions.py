"""Variants: options that the car does not have, conditions that no car meets."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.mentions import plans_on, steps_on, things
from procedures_lib.language.entities.car import Fastener, Fluid, Vehicle
from procedures_lib.language.entities.entity import references
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Content, Job, Procedure, Signal
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Space
from procedures_lib.manual import Manual
from procedures_lib.spelling import suggestion


def options(manual: Manual, page: str) -> Iterator[Finding]:
    """Find options and values that the vehicle of a page does not have, and impossible ones."""
    vehicle = vehicle_of(manual, page)
    if vehicle is None:
        return
    space = Space(vehicle.options)
    for what, condition, place in _conditions(manual.contents[page]):
        unknown = list(_unknown(what, condition, place, vehicle))
        yield from unknown
        if not unknown and not space.region(condition):
            said = f"{what} has the condition `{condition}`, which no {vehicle.name} meets"
            hint = "look at its `and` and `not`; the vehicle page lists what can be"
            yield Finding(place, "never-true", said, hint, related=(vehicle.place,))
    yield from _calibrations(manual, page, vehicle)


def vehicle_of(manual: Manual, page: str) -> Vehicle | None:
    """Return the one vehicle that the conditions of a page are about."""
    found: dict[str, Vehicle] = {}
    for entity in manual.entities_on(page).values():
        name: str | None = None
        if isinstance(entity, Vehicle):
            found[entity.id] = entity
        elif isinstance(entity, Kit):
            name = str(entity.fits.vehicle)
        elif isinstance(entity, Procedure | Common | Job) and entity.vehicle:
            name = str(entity.vehicle)
        vehicle = manual.head(Vehicle, name) if name else None
        if vehicle is not None:
            found[vehicle.id] = vehicle
    return next(iter(found.values())) if len(found) == 1 else None


def _conditions(content: Content) -> Iterator[tuple[str, Condition, Place]]:
    """Yield every ``when`` on a page, with what it belongs to and where that stands."""
    for entity in content.entities:
        yield f"`{entity.id}`", getattr(entity, "when", ALWAYS), entity.place
        if isinstance(entity, Fastener):
            yield from _of_stages(entity)
        if isinstance(entity, Kit):
            yield f"the kit `{entity.id}`", entity.fits.when, entity.place
            for item in entity.contents:
                yield f"`{item.what}` in the kit", item.when, item.place
    for step in steps_on(content):
        name = step.title or f"common steps {step.common}"
        yield f"the step “{name}”", step.when, step.place
        yield from _of_signals(step.signals)
    yield from _of_signals(content.signals)
    for derived in content.derived:
        yield f"`{derived.block.name}`", derived.options.when, derived.block.place


def _of_signals(signals: Iterable[Signal]) -> Iterator[tuple[str, Condition, Place]]:
    for signal in signals:
        yield f"the {signal.word} “{signal.title}”", signal.when, signal.place


def _of_stages(fastener: Fastener) -> Iterator[tuple[str, Condition, Place]]:
    """Yield the conditions of a joint's stages, each on the cars that have the joint."""
    for when, _ in fastener.how_tight.by_condition if fastener.varies else ():
        yield f"`tighten` of `{fastener.id}`", when, fastener.place


def _unknown(what: str, condition: Condition, place: Place, vehicle: Vehicle) -> Iterator[Finding]:
    known = dict(vehicle.options)
    for option, value in dict.fromkeys(condition.tests()):
        if option not in known:
            said = f"{what} depends on `{option}`, an option that `{vehicle.id}` does not have"
            hint = suggestion(option, known) or "add it to the vehicle's `options`"
        elif value not in known[option]:
            said = f"{what} asks for `{option}={value}`, a value that `{vehicle.id}` does not have"
            hint = suggestion(value, known[option])
        else:
            continue
        yield Finding(place, "unknown-option", said, hint, related=(vehicle.place,))


def no_car_meets(condition: Condition, vehicle: Vehicle, space: Space) -> bool:
    """Tell whether a condition is for cars that there can't be, or names an unknown option."""
    known = dict(vehicle.options)
    strange = any(value not in known.get(option, ()) for option, value in condition.tests())
    return strange or not space.region(condition)


def _calibrations(manual: Manual, page: str, vehicle: Vehicle) -> Iterator[Finding]:
    values = {value for _, values in vehicle.options for value in values}
    for kit in things(manual, page, Kit):
        for value, number in kit.needs.calibration:
            if value and value not in values:
                said = f"the calibration {number} is for `{value}`, which is no value of an option"
                hint = suggestion(value, values) or "give the number alone: its cars do not differ"
                yield Finding(kit.place, "unknown-option", said, hint, related=(vehicle.place,))


def steps_that_apply(manual: Manual, page: str) -> Iterator[Finding]:
    """Find steps that, through common steps and the kit's own limits, no car ever needs."""
    for plan in plans_on(manual, page):
        space = Space(plan.vehicle.options if plan.vehicle else ())
        base = space.region(plan.kit.fits.when) if plan.kit else space.all
        for numbered in plan.steps if plan.vehicle and base else ():
            where, own = space.region(numbered.when), space.region(numbered.step.when)
            if not (base & where) and (where or own):  # one that no car meets is found by itself
                title, place = numbered.step.title, (numbered.through or numbered.step).place
                said = (
                    f"the step “{title}” is for `{numbered.when}`, and no car that this"
                    " procedure is for is so"
                )
                yield Finding(
                    place, "never-true", said, "correct the condition, or take the step out"
                )


def jobs_that_apply(manual: Manual, page: str) -> Iterator[Finding]:
    """Find jobs with a procedure for other cars than those that the job is for."""
    for job in things(manual, page, Job):
        vehicle = manual.head(Vehicle, str(job.vehicle))
        space = Space(vehicle.options if vehicle else ())
        for name in job.procedures if vehicle else ():
            procedure = manual.head(Procedure, str(name))
            kit = manual.head(Kit, str(procedure.kit)) if procedure and procedure.kit else None
            if kit is not None and _exclude(job.when, kit.fits.when, space):
                said = f"the job is for `{job.when}`, and `{name}` fits a kit for `{kit.fits.when}`"
                hint = "correct the condition, or leave the procedure out"
                yield Finding(job.place, "never-true", said, hint, related=(kit.place,))


def _exclude(one: Condition, other: Condition, space: Space) -> bool:
    """Tell whether there are cars for each of two conditions, and none for both."""
    ours, theirs = space.region(one), space.region(other)
    return bool(ours) and bool(theirs) and not ours & theirs


def kit_items(manual: Manual, page: str) -> Iterator[Finding]:
    """Find things in a box for other cars than those that have the thing itself."""
    vehicle = vehicle_of(manual, page)
    if vehicle is None:
        return
    scope, space = manual.scope(page), Space(vehicle.options)
    for item in (item for kit in things(manual, page, Kit) for item in kit.contents):
        thing = scope.get(str(item.what))
        when = getattr(thing, "when", ALWAYS)
        if thing is not None and _exclude(when, item.when, space):
            said = f"`{item.what}` is in the box for `{item.when}`, and on cars with `{when}`"
            hint = "correct one of the two conditions"
            yield Finding(item.place, "never-true", said, hint, related=(thing.place,))


def joined(manual: Manual, page: str) -> Iterator[Finding]:
    """Find things of a page that lean on others which no car has together with them."""
    vehicle = vehicle_of(manual, page)
    if vehicle is None:
        return
    scope, space = manual.scope(page), Space(vehicle.options)
    for entity in manual.contents[page].entities:
        when = getattr(entity, "when", ALWAYS)
        if when == ALWAYS or not space.region(when):
            continue
        named = [(ref.field, ref.target) for ref in references(entity)]
        if isinstance(entity, Fluid):
            named += [("drain or fill", name) for name in (*entity.drain, *entity.fill)]
        for field, name in named:
            other = scope.get(str(name))
            if other is not None and _exclude(when, getattr(other, "when", ALWAYS), space):
                said = f"`{entity.id}` is for `{when}`; its `{field}`, `{name}`, is not"
                hint = "correct one of the two conditions: no car has both"
                yield Finding(entity.place, "never-true", said, hint, related=(other.place,))
                break
