"""Variants: options that the car does not have, conditions that no car meets."""

from __future__ import annotations

from collections.abc import Iterator

from procedures_lib.findings import Finding, Place, suggestion
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.content import Content
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Job, Procedure
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Region, Space
from procedures_lib.manual import Manual, Plan, Scope


def options(manual: Manual, page: str) -> Iterator[Finding]:
    """Find options and values that the vehicle of a page does not have, and impossible ones."""
    vehicle = vehicle_of(manual, page)
    if vehicle is None:
        return
    space = Space(vehicle.options)
    for what, condition, place in conditions(manual, page):
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


def conditions(manual: Manual, page: str) -> Iterator[tuple[str, Condition, Place]]:
    """Yield every ``when`` on a page, with what it belongs to and where that stands."""
    for what, when, place in _all_conditions(manual.contents[page]):
        if when != ALWAYS:
            yield what, when, place


def _all_conditions(content: Content) -> Iterator[tuple[str, Condition, Place]]:
    for entity in content.entities:
        yield f"`{entity.id}`", getattr(entity, "when", ALWAYS), entity.place
        if isinstance(entity, Kit):
            yield f"the kit `{entity.id}`", entity.fits.when, entity.place
            for item in entity.contents:
                yield f"`{item.what}` in the kit", item.when, item.place
    for _, steps in content.steps:
        for step in steps:
            name = step.title or f"common steps {step.common}"
            yield f"the step “{name}”", step.when, step.place
    for derived in content.derived:
        yield f"`{derived.block.name}`", derived.options.when, derived.block.place


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


def _calibrations(manual: Manual, page: str, vehicle: Vehicle) -> Iterator[Finding]:
    values = {value for _, values in vehicle.options for value in values}
    for kit in manual.entities_on(page).values():
        if not isinstance(kit, Kit):
            continue
        for value, number in kit.needs.calibration:
            if value and value not in values:
                said = f"the calibration {number} is for `{value}`, which is no value of an option"
                hint = suggestion(value, values) or "give the number alone: its cars do not differ"
                yield Finding(kit.place, "unknown-option", said, hint, related=(vehicle.place,))


def steps_that_apply(manual: Manual, page: str) -> Iterator[Finding]:
    """Find steps that, through common steps and the kit's own limits, no car ever needs."""
    for entity in manual.entities_on(page).values():
        if isinstance(entity, Procedure):
            plan = manual.plan(entity)
            if plan.vehicle is not None:
                yield from _never(plan)


def _never(plan: Plan) -> Iterator[Finding]:
    space = Space(plan.vehicle.options if plan.vehicle else ())
    base = space.region(plan.kit.fits.when) if plan.kit else space.all
    if not base:
        return
    for numbered in plan.steps:
        where = space.region(numbered.when)
        if not (base & where) and (where or _fault_is_here(numbered.step.when, space)):
            step = numbered.through or numbered.step
            said = (
                f"the step “{numbered.step.title}” is for `{numbered.when}`, and no car that this"
                " procedure is for is so"
            )
            hint = "correct the condition, or take the step out"
            yield Finding(step.place, "never-true", said, hint)


def jobs_that_apply(manual: Manual, page: str) -> Iterator[Finding]:
    """Find jobs with a procedure for other cars than those that the job is for."""
    for job in manual.entities_on(page).values():
        vehicle = manual.head(Vehicle, str(job.vehicle)) if isinstance(job, Job) else None
        if isinstance(job, Job) and vehicle is not None:
            space = Space(vehicle.options)
            for name in job.procedures:
                yield from _other_cars(job, str(name), manual, space)


def _other_cars(job: Job, name: str, manual: Manual, space: Space) -> Iterator[Finding]:
    procedure = manual.head(Procedure, name)
    kit = manual.head(Kit, str(procedure.kit)) if procedure and procedure.kit else None
    if kit is None or ALWAYS in (job.when, kit.fits.when):
        return
    ours, theirs = space.region(job.when), space.region(kit.fits.when)
    if ours and theirs and not ours & theirs:
        said = f"the job is for `{job.when}`, and `{name}` fits a kit for `{kit.fits.when}`"
        hint = "correct the condition, or leave the procedure out"
        yield Finding(job.place, "never-true", said, hint, related=(kit.place,))


def kit_items(manual: Manual, page: str) -> Iterator[Finding]:
    """Find things in a box for other cars than those that have the thing itself."""
    vehicle = vehicle_of(manual, page)
    if vehicle is None:
        return
    space = Space(vehicle.options)
    for kit in manual.entities_on(page).values():
        if isinstance(kit, Kit):
            yield from _items_of(kit, manual.scope(page), space)


def _items_of(kit: Kit, scope: Scope, space: Space) -> Iterator[Finding]:
    for item in kit.contents:
        thing = scope.get(str(item.what))
        when = getattr(thing, "when", ALWAYS)
        if thing is None or ALWAYS in (when, item.when):
            continue
        own, box = space.region(when), space.region(item.when)
        if own and box and not own & box:
            said = f"`{item.what}` is in the box for `{item.when}`, and on cars with `{when}`"
            hint = "correct one of the two conditions"
            yield Finding(item.place, "never-true", said, hint, related=(thing.place,))


def _fault_is_here(own: Condition, space: Space) -> bool:
    """Tell whether a condition is impossible only together with that of the call around it."""
    found: Region = space.region(own)
    return bool(found)
