"""Open items, order of work, hazards, hardware: what the walk of a procedure finds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.checks.variants import vehicle_of
from procedures_lib.entities.base import fields_of
from procedures_lib.entities.kit import Kit
from procedures_lib.entities.work import Common, Procedure
from procedures_lib.findings import Finding
from procedures_lib.variants import ALWAYS
from procedures_lib.variants.region import Space
from procedures_lib.walk.circles import circles
from procedures_lib.walk.walk import walk

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.base import Entity
    from procedures_lib.manual import Manual, Plan


def walked(manual: Manual, page: str) -> Iterator[Finding]:
    """Carry out the procedures of a page, on every car, and say what goes wrong.

    A procedure that could not be read whole is not carried out: what would follow from the gap is
    no finding of its own.
    """
    for entity in manual.entities_on(page).values():
        if isinstance(entity, Procedure):
            plan = manual.plan(entity)
            if not can_walk(manual, plan) or _goes_in_circles(manual, plan):
                continue
            if not has_stray_steps(manual, plan):
                done = walk(plan, manual)
                if not done.unsure:
                    yield from done.findings


def has_stray_steps(manual: Manual, plan: Plan) -> bool:
    """Tell whether a step is for cars that there can't be: that is a finding of its own."""
    vehicle = vehicle_of(manual, plan.head.place.page)
    if vehicle is None:
        return False
    known = dict(vehicle.options)
    space = Space(vehicle.options)
    for step in plan.content.steps_of(plan.head.id):
        tests = step.when.tests() if step.when != ALWAYS else ()
        if any(value not in known.get(option, ()) for option, value in tests):
            return True
        if step.when != ALWAYS and not space.region(step.when):
            return True
    return False


def _goes_in_circles(manual: Manual, plan: Plan) -> bool:
    pages = [name for name in plan.scope.pages if not _is_common(manual, name)]
    return any(next(chains(manual, name), None) is not None for name in pages)


def can_walk(manual: Manual, plan: Plan) -> bool:
    """Tell whether all that a procedure needs has been read."""
    page = plan.head.place.page
    if plan.vehicle is None or not manual.sees_all(page):
        return False
    if any(numbered.step.unread for numbered in plan.steps):
        return False
    steps = plan.content.steps_of(plan.head.id)
    if any(step.common and not _is_there(manual, step.common) for step in steps):
        return False
    common = {numbered.page for numbered in plan.steps}
    near = [name for name in plan.scope.pages if name in common or not _is_common(manual, name)]
    contents = [manual.contents[name] for name in {*near, page}]
    return not any(content.lost or content.damaged for content in contents)


def _is_there(manual: Manual, name: str) -> bool:
    return manual.head(Common, str(name)) is not None


def _is_common(manual: Manual, page: str) -> bool:
    return page in manual.common_pages


def chains(manual: Manual, page: str) -> Iterator[Finding]:
    """Find parts that are on, behind, or in place of themselves, directly or through others."""
    own = manual.entities_on(page)
    entities = list(manual.scope(page).entities()) if own else []
    for field, does in (("on", "is on"), ("behind", "is behind"), ("replaces", "replaces")):
        for circle in circles(dict(_mentioned(entities, field))):
            place = next((own[name].place for name in circle if name in own), None)
            if place is not None:
                names = " → ".join(f"`{name}`" for name in (*circle, circle[0]))
                said = f"`{circle[0]}` {does} itself: {names}"
                hint = f"take one `{field}` out: nothing can come first"
                yield Finding(place, "endless-chain", said, hint)


def _mentioned(entities: list[Entity], field: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield what each thing names there: first as kits say it, then as the thing itself does."""
    if field == "replaces":
        items = [item for e in entities if isinstance(e, Kit) for item in e.contents]
        yield from ((item.what, (str(item.replaces),)) for item in items if item.replaces)
    for entity in entities:
        value = getattr(entity, field) if field in fields_of(type(entity)) else None
        if value:
            yield entity.id, (str(value),) if isinstance(value, str) else tuple(map(str, value))
