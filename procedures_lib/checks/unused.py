"""Reading: things that a procedure or kit page defines and nothing uses."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.checks.mentions import mentions
from procedures_lib.entities.builder import HEADS
from procedures_lib.entities.car import Fluid, Hazard, Opening
from procedures_lib.entities.work import Procedure
from procedures_lib.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from procedures_lib.entities.base import Entity
    from procedures_lib.entities.work import Step
    from procedures_lib.manual import Manual


_HAZARD_HINT = "name it under `hazards` of a step or the procedure, or give it `called-by`"


def unused_entities(manual: Manual, page: str) -> Iterator[Finding]:
    """Find things that a procedure or kit page defines and nothing in reach mentions."""
    content = manual.contents[page]
    kinds = {entity.KIND for entity in content.entities}
    if not kinds & {"procedure", "kit"} or "vehicle" in kinds:
        return
    near = _pages_that_may_use(manual, page)
    if not _all_read(manual, near):
        return
    used = _mentioned_on(manual, near)
    for entity in content.entities:
        if entity.KIND in HEADS or entity.id in used:
            continue
        if isinstance(entity, Hazard) and entity.called_by:
            continue
        if isinstance(entity, Opening) and used & set(entity.exposed_by):
            continue
        said = f"nothing mentions the {entity.KIND} `{entity.id}`"
        hint = _HAZARD_HINT if isinstance(entity, Hazard) else "use it in a step, or take it out"
        yield Finding(entity.place, "unused-entity", said, hint)


def _pages_that_may_use(manual: Manual, page: str) -> set[str]:
    """The page itself, and the procedure pages of the kits that it holds."""
    kits = {entity.id for entity in manual.contents[page].entities if entity.KIND == "kit"}
    return {page}.union(*(manual.pages_by_kit.get(kit, frozenset()) for kit in kits))


def _all_read(manual: Manual, pages: set[str]) -> bool:
    """Tell whether all that may use things of these pages could be read.

    A kit that no procedure names may be that of one whose head could not be read.
    """
    contents = [manual.contents[page] for page in pages]
    steps = [step for content in contents for _, steps in content.steps for step in steps]
    if any(content.lost_heads for content in contents) or any(step.unread for step in steps):
        return False
    entities = (entity for content in contents for entity in content.entities)
    if any(isinstance(entity, Procedure) for entity in entities):
        return True
    return not manual.has_loose_procedures


def _mentioned_on(manual: Manual, pages: set[str]) -> set[str]:
    used: set[str] = set()
    for name in pages:
        content = manual.contents[name]
        used.update(str(mention.target) for mention in mentions(content))
        used.update(_in_actions(step for _, steps in content.steps for step in steps))
        for entity in content.entities:
            used.update(_in_words(entity))
            if isinstance(entity, Procedure):
                used.update(_in_actions(n.step for n in manual.plan(entity).steps))
    return used


def _in_actions(steps: Iterable[Step]) -> Iterator[str]:
    for step in steps:
        for action in step.actions:
            yield from map(str, action.objects)


def _in_words(entity: Entity) -> Iterator[str]:
    """Yield the words of fields that may name a thing, or say something else."""
    if isinstance(entity, Fluid):
        yield entity.drain
    if isinstance(entity, Hazard):
        yield from map(str, entity.called_by)
