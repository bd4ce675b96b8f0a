"""Reading: ids of steps, and common steps that lead back to themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.checks.ids import duplicate
from procedures_lib.entities.work import Common
from procedures_lib.findings import Finding, Place, suggestion

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual


def step_ids(manual: Manual, page: str) -> Iterator[Finding]:
    """Find two steps with one id, and derived blocks that name a step which is not there."""
    content = manual.contents[page]
    for _, steps in content.steps:
        seen: dict[str, Place] = {}
        for step in steps:
            if step.id in seen:
                yield duplicate(step.id, step.place, seen[step.id])
            elif step.id:
                seen[step.id] = step.place
    for derived in content.derived:
        after = derived.options.after
        plan = manual.plan_of_page(page, str(derived.block.argument))
        if after is None or plan is None or plan.step_number(after) is not None:
            continue
        known = [numbered.step.id for numbered in plan.steps if numbered.step.id]
        said = f"no step here has the id `{after}`"
        yield Finding(
            Place(page, after.line),
            "unknown-id",
            said,
            suggestion(after, known) or "give it `:id:`",
        )


def endless_steps(manual: Manual, page: str) -> Iterator[Finding]:
    """Find common steps that lead back to themselves."""
    for head, steps in manual.contents[page].steps:
        for step in steps:
            if step.common is not None and head in _commons_behind(manual, step.common):
                said = f"the common steps `{step.common}` lead back to `{head}`"
                yield Finding(step.place, "endless-steps", said, "take one of the calls out")


def _commons_behind(manual: Manual, name: str) -> set[str]:
    """The common heads that one calls for, itself among them."""
    found: set[str] = set()
    ahead = [name]
    while ahead:
        common = manual.head(Common, ahead.pop())
        if common is None or common.id in found:
            continue
        found.add(common.id)
        steps = manual.contents[common.place.page].steps_of(common.id)
        ahead += [str(step.common) for step in steps if step.common is not None]
    return found
