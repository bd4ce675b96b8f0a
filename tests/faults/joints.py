"""Which joints the demo's procedures work on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.language.entities.kit import Kit

if TYPE_CHECKING:
    from procedures_lib.language.entities.entity import Entity
    from procedures_lib.manual import Plan
    from tests.faults.demo import Demo

PUTTING_IN = frozenset({"fit", "start", "tighten", "fill"})
UNTOUCHED = "no procedure names it in an action"
NEVER_TIGHTENED = "no procedure tightens this joint, or fills this system"


def is_tightened(demo: Demo, entity: Entity) -> bool:
    """Tell whether a procedure tightens a joint, or one with its stages, or fills a system."""
    for plan, action in demo.actions:
        if action.verb in PUTTING_IN and entity.id in action.objects and sees(plan, entity):
            return True
    return any(_takes_over(demo, kit, entity) for kit in demo.manual.heads(Kit))


def _takes_over(demo: Demo, kit: Kit, old: Entity) -> bool:
    """Tell whether a thing of a kit has no stages of its own but those of what it replaces."""
    described = {entity.id: entity for entity in demo.manual.contents[kit.place.page].entities}
    return any(
        not getattr(described.get(item.what), "tighten", ())
        for item in kit.contents
        if item.fastener and item.replaces == old.id
    )


def sees(plan: Plan, entity: Entity) -> bool:
    """Tell whether a procedure's page can see the page that a thing stands on."""
    return entity.place.page in plan.scope.pages


def is_touched(demo: Demo, entity: Entity) -> bool:
    """Tell whether some procedure that sees a thing names it in an action."""
    return any(entity.id in action.objects and sees(plan, entity) for plan, action in demo.actions)


def goes_back_in(demo: Demo, entity: Entity) -> bool:
    """Tell whether one procedure takes a thing out and puts it in again."""
    out: dict[str, bool] = {}
    for plan, action in demo.actions:
        if entity.id not in action.objects or not sees(plan, entity):
            continue
        if action.verb in {"remove", "disconnect"}:
            out[plan.head.id] = True
        elif action.verb in PUTTING_IN | {"connect"} and out.get(plan.head.id):
            return True
    return False
