"""Open items, order of work, hazards, hardware: what the walk of a procedure finds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.work import Common, Procedure
from procedures_lib.walk.walk import walk

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.findings import Finding
    from procedures_lib.manual import Manual, Plan


def walked(manual: Manual, page: str) -> Iterator[Finding]:
    """Carry out the procedures of a page, on every car, and say what goes wrong.

    A procedure that could not be read whole is not carried out: what would follow from the gap is
    no finding of its own.
    """
    for entity in manual.entities_on(page).values():
        if isinstance(entity, Procedure):
            plan = manual.plan(entity)
            if can_walk(manual, plan):
                done = walk(plan, manual)
                if not done.unsure:
                    yield from done.findings


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
